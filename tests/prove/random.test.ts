import { describe, expect, test } from "vitest";
import { TooLarge } from "../oracle/explore.js";
import { differences } from "../support/compare.js";
import { randomWorld, type WorldSpec, worldFrom } from "../support/random-world.js";
import { shrink } from "../support/shrink.js";

/** More, or other, worlds than the suite's own: `RANDOM_WORLDS=20000 RANDOM_SEED=5000 npx vitest run tests/prove/random.test.ts`. */
const WORLDS = Number(process.env.RANDOM_WORLDS ?? 1000);
const FIRST = Number(process.env.RANDOM_SEED ?? 1);
const PART = 100;
/** States of one search of the interpreter. Larger worlds are passed over, and others taken for them. */
const STATES = 1500;

const parts = Array.from({ length: Math.ceil(WORLDS / PART) }, (_, part) => part);

describe(`the prover and the interpreter agree on ${WORLDS} random worlds`, () => {
  /** A part takes its worlds from seeds of its own, so that a failure can be run again alone. */
  test.each(parts)("part %i", { timeout: 300_000 }, (part) => {
    const wanted = Math.min(PART, WORLDS - part * PART);
    const failures: string[] = [];
    let compared = 0;
    let passedOver = 0;
    for (let seed = FIRST + part * 1000; compared < wanted; seed++) {
      const lines = disagreements(randomWorld(seed));
      if (lines === "too large") passedOver++;
      else compared++;
      if (lines !== "too large" && lines.length > 0) failures.push(failure(seed, lines));
    }
    expect(failures.slice(0, 3).join("\n\n")).toBe("");
    expect(passedOver).toBeLessThan(wanted / 2);
  });
});

/** What they disagree about; a world that is no whole program agrees. */
function disagreements(spec: WorldSpec): string[] | "too large" {
  try {
    return differences(worldFrom(spec), STATES);
  } catch (error) {
    if (error instanceof TooLarge) return "too large";
    return [`thrown: ${error instanceof Error ? error.message : error}`];
  }
}

/** The seed and the smallest world in which the first of its disagreements is still there. */
function failure(seed: number, lines: readonly string[]): string {
  const kind = kindOf(lines[0]!);
  const small = shrink(
    randomWorld(seed),
    (spec) => isWhole(spec) && [...disagreements(spec)].some((line) => kindOf(line) === kind),
  );
  const procedures = Object.entries(small.procedures).map(([id, procedure]) => `${id}: ${JSON.stringify(procedure)}`);
  return [`seed ${seed}`, ...lines, "cut down to", ...small.lines, ...procedures, ...disagreements(small)].join("\n  ");
}

function isWhole(spec: WorldSpec): boolean {
  try {
    worldFrom(spec);
    return true;
  } catch {
    return false;
  }
}

function kindOf(line: string): string {
  return line.replace(/@\S*/, "").replace(/^r\d+/, "");
}
