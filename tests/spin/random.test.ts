import { describe, expect, test } from "vitest";
import { shrink } from "../support/shrink.js";
import { differencesOf, holdsInLanes, partFor, type System, systemsFrom, worldOf } from "./systems.js";

/**
 * SPIN (Holzmann, The SPIN Model Checker, 2004; Debian's package) against the prover: random small systems, translated by a
 * program that shares nothing with the prover but the data types. By hand, with more and others:
 * `SPIN_SYSTEMS=2000 SPIN_SEED=100000 npx vitest run --project spin`.
 */
const SYSTEMS = Number(process.env.SPIN_SYSTEMS ?? 252);
const FIRST = Number(process.env.SPIN_SEED ?? 1);
/** Of one model; SPIN has room for 255 kinds of processes, and a system takes two to six. */
const BATCH = 42;

describe("random small systems", () => {
  const batches = Array.from({ length: Math.ceil(SYSTEMS / BATCH) }, (_, index) => ({ seed: FIRST + index * 1000 }));

  test.each(batches)("SPIN and the prover answer alike, from seed $seed", { timeout: 300_000 }, ({ seed }) => {
    compare(systemsFrom(seed, BATCH));
  });

  const ofHolds = Array.from({ length: Math.ceil(SYSTEMS / 252) }, (_, index) => ({ seed: FIRST + index * 10_000 }));

  test.each(ofHolds)("and about what one of two holds, from seed $seed", { timeout: 300_000 }, ({ seed }) => {
    compare(systemsFrom(seed, 30, holdsInLanes));
  });
});

function compare(systems: readonly System[]): void {
  const { failures, yes, no } = differencesOf(systems);
  const told = [...failures].slice(0, 3).map(([system, lines]) => failure(system, lines));
  expect(told.join("\n\n")).toBe("");
  expect(Math.min(yes, no)).toBeGreaterThan(systems.length / 5);
}

/** The seed, and the smallest system in which the two still differ about the same. */
function failure(system: System, lines: readonly string[]): string {
  const kind = kindOf(lines[0]!);
  const differing = (one: System) => differencesOf([one]).failures.get(one) ?? [];
  const asSystem = (spec: System["spec"]): System | undefined => {
    const world = worldOf(spec);
    return world && partFor(0, world) ? { seed: system.seed, spec, world } : undefined;
  };
  const small = shrink(system.spec, (spec) => {
    const one = asSystem(spec);
    return one !== undefined && differing(one).some((line) => kindOf(line) === kind);
  });
  const card = JSON.stringify(small.procedures.p);
  return [`seed ${system.seed}`, ...lines, "cut down to", ...small.lines, card, ...differing(asSystem(small)!)].join(
    "\n  ",
  );
}

function kindOf(line: string): string {
  return line.replace(/@\S*/, "").replace(/rule r\d+/, "rule");
}
