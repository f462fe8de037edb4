import { expect, test } from "vitest";
import type { SlipRow } from "../../src/program/coverage.js";
import { coverProcedure } from "../../src/prove/coverage/cover.js";
import { TooLarge } from "../oracle/explore.js";
import type { Micro } from "../support/micro.js";
import { randomWorld, worldFrom } from "../support/random-world.js";
import { usualIn } from "../support/sights.js";
import { type Outcome, outcomeOf } from "../support/slip-walk.js";
import { soundReport } from "../support/sound.js";

/** How many worlds, and from which seed on: by hand more than in the suite. */
const WANTED = Number(process.env.SLIP_WORLDS ?? 12);
const FIRST = Number(process.env.SLIP_SEED ?? 190);
const LIMIT = 1500;

/**
 * Every verdict of a slip, and the step at which it is caught, against a walk through the mutated procedure by an interpreter
 * that shares nothing with the prover.
 */
test("slips come out as a walk through the mutated procedure has it", { timeout: 6_000_000 }, () => {
  const failures: string[] = [];
  const counts = new Map<string, number>();
  const count = (what: string, more = 1) => counts.set(what, (counts.get(what) ?? 0) + more);
  let seed = FIRST;
  for (; (counts.get("worlds") ?? 0) < WANTED; seed++) {
    const compared = comparison(worldFrom(randomWorld(seed)));
    if (typeof compared === "string") {
      count(`passed over: ${compared}`);
      continue;
    }
    count("worlds");
    count("slips", compared.rows.length);
    for (const { verdict } of compared.rows) count(verdict);
    failures.push(...compared.lines.map((line) => `seed ${seed}: ${line}`));
    if (process.env.SLIP_WORLDS) for (const line of compared.lines) console.log(`seed ${seed}: ${line}`);
  }
  if (process.env.SLIP_WORLDS)
    console.log(`seeds ${FIRST} to ${seed - 1}: ${[...counts]}, ${failures.length} mismatches`);
  expect(failures.slice(0, 20)).toEqual([]);
  expect(counts.get("unproved") ?? 0).toBeLessThanOrEqual((counts.get("slips") ?? 0) / 1000);
  for (const verdict of ["silent", "caught", "harmless"]) expect(counts.get(verdict) ?? 0).toBeGreaterThan(0);
});

/** A reason where the world is passed over. */
function comparison({ program, procedure, system }: Micro): string | { rows: readonly SlipRow[]; lines: string[] } {
  try {
    const sound = soundReport(program, procedure, LIMIT);
    if (typeof sound === "string") return sound;
    const tails = system.tails.filter(({ name }) => sound.tails.includes(name));
    const asked = tails.map((tail) => {
      const usual = usualIn(program, procedure, tail, LIMIT);
      return { program, procedure, tail, sound, usual, limit: LIMIT };
    });
    const rows = coverProcedure(program, procedure, {}).slips?.rows ?? [];
    const lines = rows.flatMap((row) => {
      const { slip } = row;
      const walked = worst(asked.map((one) => outcomeOf(one, slip)));
      const alike = row.verdict === walked.verdict && row.caughtAt === walked.caughtAt;
      if (alike || row.verdict === "unproved") return [];
      const about = `${slip.kind} ${slip.step} ${slip.control ?? ""} ${slip.detail ?? ""}`;
      const broken = row.breaks ? `${row.breaks.kind} ${row.breaks.what}` : "";
      return [
        `${about}: prover ${row.verdict} ${row.caughtAt ?? ""}${broken}, walk ${walked.verdict} ${walked.caughtAt ?? ""}${walked.harms.join(", ")}`,
      ];
    });
    return { rows, lines };
  } catch (error) {
    if (error instanceof TooLarge) return "too large for the walk";
    throw error;
  }
}

/** Of what it comes to on several tails, the worst; of several alike, the first. */
function worst(outcomes: readonly Outcome[]): Outcome {
  const having = (verdict: Outcome["verdict"]) => outcomes.find((one) => one.verdict === verdict);
  return having("silent") ?? having("caught") ?? outcomes[0]!;
}
