import { expect, test } from "vitest";
import { coverProcedure } from "../../src/prove/coverage/cover.js";
import { TooLarge } from "../oracle/explore.js";
import { interpret } from "../oracle/interpreter.js";
import type { Micro } from "../support/micro.js";
import { canJudge, outcomeOf } from "../support/mutants.js";
import { randomWorld, worldFrom } from "../support/random-world.js";

/** How many worlds, and from which seed on: by hand more than in the suite. */
const WANTED = Number(process.env.SLIP_WORLDS ?? 12);
const FIRST = Number(process.env.SLIP_SEED ?? 190);
const LIMIT = 4000;

/** Every verdict of a slip, against a walk through the mutated procedure by an interpreter that shares nothing with the prover. */
test("slips come out as a walk through the mutated procedure has it", { timeout: 600_000 }, () => {
  const failures: string[] = [];
  let [worlds, slips, silent] = [0, 0, 0];
  for (let seed = FIRST; worlds < WANTED; seed++) {
    const world = worldFrom(randomWorld(seed));
    const compared = comparison(world);
    if (typeof compared === "string") continue;
    worlds += 1;
    slips += compared.slips;
    silent += compared.silent;
    failures.push(...compared.lines.map((line) => `seed ${seed}: ${line}`));
  }
  if (process.env.SLIP_WORLDS)
    console.log(worlds, "worlds", slips, "slips", silent, "silent", failures.length, "mismatches");
  expect(failures.slice(0, 20)).toEqual([]);
  expect(silent).toBeGreaterThan(0);
});

function comparison({ program, procedure, system }: Micro) {
  if (system.tails.length > 1 || !canJudge(system, procedure)) return "passed over";
  try {
    const sound = interpret(program, procedure, { limit: LIMIT });
    if (sound.findings.some(({ severity }) => severity === "error") || sound.tails.length === 0) return "passed over";
    const rules = new Set([...sound.verdicts].flatMap(([rule, verdict]) => (verdict === "holds" ? [rule] : [])));
    const rows = coverProcedure(program, procedure, {}).slips?.rows ?? [];
    const lines = rows.flatMap(({ slip, verdict, caughtAt }) => {
      const { silent, seenAt } = outcomeOf(program, procedure, system.tails[0]!, slip, rules, LIMIT);
      const told = `${slip.kind} ${slip.step} ${slip.control ?? ""} ${slip.detail ?? ""}: prover ${verdict} ${caughtAt ?? ""}, walk ${silent ? "silent" : "not silent"}, seen at ${[...seenAt].join()}`;
      if (silent !== (verdict === "silent")) return [told];
      return verdict === "harmless" && seenAt.size > 0 && isSure(sound, seenAt) ? [told] : [];
    });
    return { lines, slips: rows.length, silent: rows.filter(({ verdict }) => verdict === "silent").length };
  } catch (error) {
    if (error instanceof TooLarge) return "too large";
    throw error;
  }
}

/** Among the steps that see it is one that sees nothing wrong without the slip. */
function isSure({ findings }: ReturnType<typeof interpret>, seenAt: ReadonlySet<string>): boolean {
  return [...seenAt].some((step) =>
    findings.some(({ code, step: other, also }) => code === "flow/never-taken" && [other, ...also].includes(step)),
  );
}
