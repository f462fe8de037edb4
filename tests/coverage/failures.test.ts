import { expect, test } from "vitest";
import type { FailureRow } from "../../src/program/coverage.js";
import type { Step } from "../../src/program/procedure.js";
import { failuresOnTail } from "../../src/prove/coverage/failures.js";
import { TooLarge } from "../oracle/explore.js";
import { mustFire } from "../oracle/settle.js";
import { everyStep } from "../oracle/text.js";
import type { Config, Walker } from "../oracle/walk.js";
import type { Micro } from "../support/micro.js";
import { randomWorld, type WorldSpec, worldFrom } from "../support/random-world.js";
import { usualIn } from "../support/sights.js";
import { outcomeOfFailure } from "../support/slip-walk.js";
import { soundReport } from "../support/sound.js";

/** How many worlds, and from which seed on: by hand more than in the suite. */
const WANTED = Number(process.env.FAILURE_WORLDS ?? 6);
const FIRST = Number(process.env.FAILURE_SEED ?? 1);
const LIMIT = 1500;

/**
 * What comes of a failure against a walk in which the equipment fails by itself at one moment: line by line where a line is one act, and
 * over all moments together.
 */
test("failures come out as a walk with the failure at each moment has it", { timeout: 6_000_000 }, () => {
  const failures: string[] = [];
  const counts = new Map<string, number>();
  const count = (what: string) => counts.set(what, (counts.get(what) ?? 0) + 1);
  let seed = FIRST;
  for (; (counts.get("worlds") ?? 0) < WANTED; seed++) {
    const compared = comparison(worldFrom(failing(randomWorld(seed))), count);
    if (typeof compared === "string") {
      count(`passed over: ${compared}`);
      continue;
    }
    count("worlds");
    failures.push(...compared.map((line) => `seed ${seed}: ${line}`));
    if (process.env.FAILURE_WORLDS) for (const line of compared) console.log(`seed ${seed}: ${line}`);
  }
  if (process.env.FAILURE_WORLDS)
    console.log(`seeds ${FIRST} to ${seed - 1}: ${[...counts]}, ${failures.length} mismatches`);
  expect(failures.slice(0, 20)).toEqual([]);
  for (const verdict of ["unanswered", "harmless"]) expect(counts.get(verdict) ?? 0).toBeGreaterThan(0);
});

/** Each piece of equipment may fail from its second state to its first. */
function failing({ lines, procedures }: WorldSpec): WorldSpec {
  return {
    procedures,
    lines: lines.map((line) => line.replace(/^(eq \S+: x y[^,]*)/, "$1; y>x anytime")),
  };
}

type Verdict = FailureRow["verdict"];
const WORST: readonly Verdict[] = ["unanswered", "unproved", "answered", "harmless"];
const NAMES = { silent: "unanswered", caught: "answered", harmless: "harmless" } as const;

function comparison({ program, procedure, system }: Micro, count: (what: string) => void): string[] | string {
  if (system.equipment.size === 0) return "nothing that can fail";
  try {
    const sound = soundReport(program, procedure, LIMIT);
    if (typeof sound === "string") return sound;
    const tail = system.tails.find(({ name }) => sound.tails.includes(name))!;
    const usual = usualIn(program, procedure, tail, LIMIT, { mayFail: true });
    const asked = { program, procedure, tail, sound, usual, limit: LIMIT };
    const rows = failuresOnTail({ program, procedure, tail, limits: {} });
    for (const { verdict } of rows) count(verdict);
    return [...system.equipment.keys()].flatMap((equipment) => {
      const own = rows.filter((row) => row.equipment === equipment);
      const walked = (step?: string): Verdict | undefined => {
        let isPossible = false;
        const { verdict } = outcomeOfFailure(asked, (config, walker) => {
          if (step !== undefined && step !== (config.last?.name ?? "")) return { nexts: [], told: [] };
          if (!canFail(equipment, config, walker)) return { nexts: [], told: [] };
          isPossible = true;
          return walker.fail(config, walker.world.index.get(`equipment:${equipment}`)!, 0);
        });
        return isPossible ? NAMES[verdict] : undefined;
      };
      const all = walked();
      const worst = WORST.find((verdict) => own.some((row) => row.verdict === verdict));
      const lines = own.flatMap(({ step = "", verdict }) => {
        if (!isOneAct(procedure.steps, step)) return [];
        const said = walked(step);
        return said === undefined || said === verdict || verdict === "unproved"
          ? []
          : [`${equipment} after ${step}: prover ${verdict}, walk ${said}`];
      });
      // Where it can fail only within one line, as while that holds a control for a time, no row tells of it.
      if (worst === undefined && all === "harmless") count("harmless within one line only");
      else if (worst !== all && worst !== "unproved") lines.push(`${equipment}: prover ${worst}, walk ${all}`);
      return lines;
    });
  } catch (error) {
    if (error instanceof TooLarge) return "too large for the walk";
    throw error;
  }
}

function canFail(equipment: string, { state, end }: Config, { world }: Walker): boolean {
  const variable = world.index.get(`equipment:${equipment}`)!;
  return world.variables[variable]!.fitted && state.values[variable] === 1 && !end && !mustFire(world, state);
}

/** The start, or a line that is one act, of a procedure in which no other lane works at the same time. */
function isOneAct(steps: readonly Step[], name: string): boolean {
  const all = [...everyStep(steps)];
  if (all.some(({ kind }) => kind === "together" || kind === "watch")) return false;
  if (name === "") return true;
  const step = all.find((one) => one.name === name);
  if (step?.kind === "ask") return true;
  return step?.kind === "set" && step.moves.length === 1 && step.moves[0]!.controls.length === 1;
}
