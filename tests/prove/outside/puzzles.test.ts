import { describe, expect, test } from "vitest";
import { proveProcedure } from "../../../src/prove/prove.js";
import { interpret } from "../../oracle/interpreter.js";
import { cardOf, neighbours, type Puzzle, shortest, solves } from "./puzzle.js";

/**
 * River crossing (Alcuin of York, Propositiones ad acuendos juvenes, no. 18). Lengths and counts of the shortest solutions
 * of the three puzzles: recomputed by breadth-first search, here and by a program that is not part of this project.
 */
type Banks = { readonly boat: 0 | 1; readonly wolf: 0 | 1; readonly goat: 0 | 1; readonly cabbage: 0 | 1 };
const across = (side: 0 | 1): 0 | 1 => (side === 0 ? 1 : 0);
const bits = [0, 1] as const;
const take = (who: "wolf" | "goat" | "cabbage") => (banks: Banks) =>
  banks[who] === banks.boat ? { ...banks, boat: across(banks.boat), [who]: across(banks.boat) } : undefined;
const river: Puzzle<Banks> = {
  states: bits.flatMap((boat) =>
    bits.flatMap((wolf) => bits.flatMap((goat) => bits.map((cabbage) => ({ boat, wolf, goat, cabbage })))),
  ),
  name: ({ boat, wolf, goat, cabbage }) => `s${boat}${wolf}${goat}${cabbage}`,
  start: { boat: 0, wolf: 0, goat: 0, cabbage: 0 },
  goal: ({ boat, wolf, goat, cabbage }) => boat + wolf + goat + cabbage === 4,
  hazard: ({ boat, wolf, goat, cabbage }) => goat !== boat && (goat === wolf || goat === cabbage),
  moves: {
    alone: (banks) => ({ ...banks, boat: across(banks.boat) }),
    wolf: take("wolf"),
    goat: take("goat"),
    cabbage: take("cabbage"),
  },
};

/** Two jugs of 3 and 5, and 4 to be measured: a textbook example of search (the "Die Hard" problem of Lamport's TLA+ examples). */
type Jugs = { readonly small: number; readonly large: number };
const count = (to: number) => Array.from({ length: to + 1 }, (_, index) => index);
const pour = (from: number, into: number, size: number) => Math.min(from, size - into);
const jugs: Puzzle<Jugs> = {
  states: count(3).flatMap((small) => count(5).map((large) => ({ small, large }))),
  name: ({ small, large }) => `j${small}${large}`,
  start: { small: 0, large: 0 },
  goal: ({ large }) => large === 4,
  hazard: () => false,
  moves: {
    "fill-small": (jug) => ({ ...jug, small: 3 }),
    "fill-large": (jug) => ({ ...jug, large: 5 }),
    "empty-small": (jug) => ({ ...jug, small: 0 }),
    "empty-large": (jug) => ({ ...jug, large: 0 }),
    "into-large": ({ small, large }) => ({
      small: small - pour(small, large, 5),
      large: large + pour(small, large, 5),
    }),
    "into-small": ({ small, large }) => ({
      small: small + pour(large, small, 3),
      large: large - pour(large, small, 3),
    }),
  },
};

/** Three missionaries and three cannibals, a boat for two (Amarel 1968). Counts are of those on the first bank. */
type Party = { readonly missionaries: number; readonly cannibals: number; readonly boat: 0 | 1 };
const load =
  (m: number, c: number) =>
  (party: Party): Party | undefined => {
    const way = party.boat === 0 ? -1 : 1;
    const next: Party = {
      missionaries: party.missionaries + way * m,
      cannibals: party.cannibals + way * c,
      boat: across(party.boat),
    };
    const inRange = [next.missionaries, next.cannibals].every((number) => number >= 0 && number <= 3);
    return inRange ? next : undefined;
  };
const missionaries: Puzzle<Party> = {
  states: count(3).flatMap((m) =>
    count(3).flatMap((c) => bits.map((boat) => ({ missionaries: m, cannibals: c, boat }))),
  ),
  name: ({ missionaries: m, cannibals: c, boat }) => `p${m}${c}${boat}`,
  start: { missionaries: 3, cannibals: 3, boat: 0 },
  goal: ({ missionaries: m, cannibals: c, boat }) => m === 0 && c === 0 && boat === 1,
  hazard: ({ missionaries: m, cannibals: c }) => (m > 0 && m < c) || (3 - m > 0 && 3 - m < 3 - c),
  moves: { m: load(1, 0), mm: load(2, 0), c: load(0, 1), cc: load(0, 2), mc: load(1, 1) },
};

const PUZZLES = [
  { name: "river crossing", puzzle: river, card: "goat alone wolf goat cabbage alone goat", length: 7, solutions: 2 },
  {
    name: "jugs",
    puzzle: jugs,
    card: "fill-large into-small empty-small into-small fill-large into-small",
    length: 6,
    solutions: 1,
  },
  {
    name: "missionaries and cannibals",
    puzzle: missionaries,
    card: "cc c cc c mm mc mm c cc c cc",
    length: 11,
    solutions: 4,
  },
] as const;

describe.each(PUZZLES)("$name", ({ puzzle: each, card, length, solutions }) => {
  const puzzle = each as Puzzle<unknown>;
  const moves = card.split(" ");

  test("has the shortest solutions that are known", () => {
    expect(shortest(puzzle)).toEqual({ length, solutions });
    expect(moves).toHaveLength(length);
    expect(solves(puzzle, moves)).toBe(true);
  });

  test("the published solution is a card without fault", () => {
    expect(faults(puzzle, moves)).toEqual([]);
  });

  test.each(neighbours(moves).map((changed) => [changed.join(" "), changed] as const))(
    "another card: %s",
    (_, changed) => {
      const { program, procedure } = cardOf(puzzle, changed);
      const wrong = !solves(puzzle, changed);
      expect(interpret(program, procedure).findings.some((finding) => finding.severity === "error")).toBe(wrong);
      expect(faults(puzzle, changed).length > 0).toBe(wrong);
    },
  );

  test("most of those cards are wrong", () => {
    const wrong = neighbours(moves).filter((changed) => !solves(puzzle, changed));
    expect(wrong.length).toBeGreaterThan(neighbours(moves).length / 2);
  });
});

function faults(puzzle: Puzzle<unknown>, moves: readonly string[]): string[] {
  const { program, procedure } = cardOf(puzzle, moves);
  return proveProcedure(program, procedure)
    .findings.filter((finding) => finding.severity === "error")
    .map((finding) => finding.code);
}
