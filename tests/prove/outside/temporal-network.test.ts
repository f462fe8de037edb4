import { describe, expect, test } from "vitest";
import { proveProcedure } from "../../../src/prove/prove.js";
import { type Draft, type Micro, micro, set, together, wait } from "../../support/micro.js";

/**
 * The simple temporal network of Dechter, Meiri and Pearl, Temporal Constraint Networks, Artificial Intelligence 49 (1991),
 * example 1.1: John leaves 10 to 20 minutes after seven and needs 30 to 40; Fred leaves 10 to 20 before John arrives, and needs 40 to
 * 50; he arrives 60 to 70 after seven. (The constraints are from memory; what follows from them is computed here by Floyd and
 * Warshall.) Each solution is a card of two lanes that wait. By stated times `within` must hold exactly where the network has
 * that much time between two events of one lane, or since seven. What the paper's clock ties across the lanes, a card does not: one may
 * dawdle while the other goes on, so there the time since seven counts.
 */
const EVENTS = ["seven", "john-leaves", "john-arrives", "fred-leaves", "fred-arrives"] as const;
const CONSTRAINTS: readonly (readonly [from: number, to: number, least: number, most: number])[] = [
  [0, 1, 10, 20],
  [1, 2, 30, 40],
  [3, 2, 10, 20],
  [3, 4, 40, 50],
  [0, 4, 60, 70],
];

/** Row i, column j: the most minutes by which j may come after i. */
const MOST = shortestPaths();

/** Row i, counted from seven, has every event as late after event i as may be; column i as early. Both are solutions. */
const SOLUTIONS = distinct(
  EVENTS.flatMap((_, i) => [
    EVENTS.map((_, k) => MOST[i]![k]! - MOST[i]![0]!),
    EVENTS.map((_, k) => MOST[0]![i]! - MOST[k]![i]!),
  ]),
);

function distinct(all: readonly (readonly number[])[]): { readonly name: string; readonly times: readonly number[] }[] {
  const byName = new Map(all.map((times) => [`at ${times.join(", ")} minutes`, times]));
  return [...byName].map(([name, times]) => ({ name, times }));
}

/** The pairs of which the second always comes after the first. */
const PAIRS = EVENTS.flatMap((_, from) => EVENTS.map((_, to) => [from, to] as const)).filter(
  ([from, to]) => MOST[to]![from]! < 0,
);

test("the minimal network is as recomputed for the paper", () => {
  expect(MOST).toEqual([
    [0, 20, 50, 30, 70],
    [-10, 0, 40, 20, 60],
    [-40, -30, 0, -10, 30],
    [-20, -10, 20, 0, 50],
    [-60, -50, -20, -40, 0],
  ]);
});

describe.each(SOLUTIONS)("$name", ({ times }) => {
  test.each(PAIRS)("from event %i to event %i", (from, to) => {
    const passed = times[to]! - times[from]!;
    expect(passed).toBeLessThanOrEqual(MOST[from]![to]!);
    expect(passed).toBeGreaterThanOrEqual(-MOST[to]![from]!);
    const counted = isAcross(from, to) ? times[to]! : passed;
    expect([counted - 1, counted].map((minutes) => verdictOf(times, from, to, minutes))).toEqual(["violated", "holds"]);
  });

  test("both are there when the later of them is", () => {
    const later = Math.max(times[2]!, times[4]!);
    expect([later - 1, later].map((minutes) => verdictOf(times, 0, 5, minutes))).toEqual(["violated", "holds"]);
  });
});

test("every upper bound of the network is met by one of the solutions, so none could be smaller", () => {
  for (const [from, to] of PAIRS)
    expect(Math.max(...SOLUTIONS.map(({ times }) => times[to]! - times[from]!))).toBe(MOST[from]![to]!);
});

test("a day that breaks the network breaks the rules of the constraints that it breaks, and no other", () => {
  const late = [0, 20, 70, 30, 80];
  const own = CONSTRAINTS.filter(([from, to]) => !isAcross(from, to));
  expect(own.map(([from, to, , most]) => verdictOf(late, from, to, most))).toEqual([
    "holds",
    "violated",
    "holds",
    "violated",
  ]);
});

/** One event is John's, the other Fred's. */
function isAcross(from: number, to: number): boolean {
  return from > 0 && from <= 2 !== to <= 2;
}

function verdictOf(times: readonly number[], from: number, to: number, minutes: number): string {
  const day = card(times, `require ${DONE[to]} is yes after ${DONE[from]} is yes within ${minutes * 60}`);
  return proveProcedure(day.program, day.procedure).proof.rules[0]!.verdict;
}

const DONE = [...EVENTS, "both-there"];

function card(times: readonly number[], rule: string): Micro {
  const declared = DONE.map((event) => `ctl ${event}: no yes`);
  const begins = DONE.map((event) => `${event} is no`);
  const steps = [set("seven yes"), together(lane(times, 1, 2), lane(times, 3, 4)), set("both-there yes")];
  return micro([...declared, `rule r: ${rule}`].join("\n"), { begins, steps });
}

/** Leaves and arrives at these minutes after seven. */
function lane(times: readonly number[], leaves: number, arrives: number): Draft[] {
  return [
    wait(times[leaves]! * 60),
    set(`${EVENTS[leaves]} yes`),
    wait((times[arrives]! - times[leaves]!) * 60),
    set(`${EVENTS[arrives]} yes`),
  ];
}

function shortestPaths(): number[][] {
  const most = EVENTS.map((_, i) => EVENTS.map((_, j) => (i === j ? 0 : Number.POSITIVE_INFINITY)));
  for (const [from, to, least, greatest] of CONSTRAINTS) {
    most[from]![to] = greatest;
    most[to]![from] = -least;
  }
  for (const over of EVENTS.keys())
    for (const from of EVENTS.keys())
      for (const to of EVENTS.keys())
        most[from]![to] = Math.min(most[from]![to]!, most[from]![over]! + most[over]![to]!);
  return most;
}
