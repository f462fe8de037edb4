import { describe, expect, test } from "vitest";
import { proveProcedure } from "../../../src/prove/prove.js";
import { interpret } from "../../oracle/interpreter.js";
import { type Micro, micro, press } from "../../support/micro.js";

/**
 * The automata of Cerny (J. Cerny, Matematicko-fyzikalny casopis SAV 14, 1964): a device of n states that is brought to one
 * known state from any of them by (n-1)^2 letters and by no fewer, in one way only. The letters of a card are presses.
 */
const SIZES = [2, 3, 4, 5, 6, 7];

type Letter = "a" | "b";
const after = (n: number, letter: Letter, state: number) =>
  letter === "a" ? (state + 1) % n : state === n - 1 ? 0 : state;

/** b, and n-2 times: round n-1 steps, and b. */
function shortestWord(n: number): Letter[] {
  const round: Letter[] = [...Array<Letter>(n - 1).fill("a"), "b"];
  return ["b", ...Array.from({ length: n - 2 }, () => round).flat()];
}

/** Where the word may leave the device. */
function image(n: number, word: readonly Letter[]): Set<number> {
  const all = Array.from({ length: n }, (_, state) => state);
  return new Set(all.map((start) => word.reduce((state, letter) => after(n, letter, state), start)));
}

/** All shortest words that bring every state to one, by breadth-first search over sets of states. */
function shortestWords(n: number): { length: number; words: number } {
  let layer = new Map([[(1 << n) - 1, 1]]);
  const seen = new Set(layer.keys());
  for (let length = 0; ; length++) {
    const done = [...layer].filter(([set]) => (set & (set - 1)) === 0);
    if (done.length > 0) return { length, words: done.reduce((sum, [, ways]) => sum + ways, 0) };
    const next = new Map<number, number>();
    for (const [set, ways] of layer)
      for (const letter of ["a", "b"] as const) {
        let to = 0;
        for (let state = 0; state < n; state++) if (set & (1 << state)) to |= 1 << after(n, letter, state);
        if (!seen.has(to)) next.set(to, (next.get(to) ?? 0) + ways);
      }
    for (const set of next.keys()) seen.add(set);
    layer = next;
  }
}

function cardOf(n: number, word: readonly Letter[], end: number): Micro {
  const states = Array.from({ length: n }, (_, state) => state);
  const changes = states.flatMap((state) => [
    `s${state}>t${after(n, "a", state)} when a is pressed`,
    `s${state}>t${after(n, "b", state)} when b is pressed`,
    `t${state}>s${state} when a is rest and b is rest`,
  ]);
  const world = `ctl a: rest pressed, springs pressed>rest
    ctl b: rest pressed, springs pressed>rest
    eq it: ${states.map((state) => `s${state} t${state}`).join(" ")}; ${changes.join("; ")}`;
  return micro(world, { ends: [`it is s${end}`], steps: word.map((letter) => press(`${letter} pressed`)) });
}

/** Small enough to walk through state by state, too. */
const WALKED = [2, 3, 4];

describe.each(SIZES)("the automaton of %i states", (n) => {
  const word = shortestWord(n);
  const [end = -1] = image(n, word);
  const other = (letter: Letter): Letter => (letter === "a" ? "b" : "a");
  const shorter = word.map((_, index) => word.toSpliced(index, 1));
  const changed = word.map((letter, index) => word.with(index, other(letter)));

  test("the word is the one shortest", () => {
    expect(word).toHaveLength((n - 1) ** 2);
    expect(image(n, word).size).toBe(1);
    expect(shortestWords(n)).toEqual({ length: (n - 1) ** 2, words: 1 });
  });

  test("the card keeps its promise from any start", () => {
    expect(broken(cardOf(n, word, end))).toEqual([]);
  });

  test("every card with one line fewer, or one letter changed, is refuted", () => {
    for (const wrong of [...shorter, ...changed])
      expect(broken(cardOf(n, wrong, end)), wrong.join("")).toEqual(["flow/promise"]);
  });
});

test.each(WALKED)("the interpreter says the same of the automaton of %i states", (n) => {
  const word = shortestWord(n);
  const [end = -1] = image(n, word);
  const errors = (card: Micro) =>
    interpret(card.program, card.procedure)
      .findings.filter((each) => each.severity === "error")
      .map((each) => each.code);
  expect(errors(cardOf(n, word, end))).toEqual([]);
  for (const index of word.keys()) expect(errors(cardOf(n, word.toSpliced(index, 1), end))).toEqual(["flow/promise"]);
});

function broken({ program, procedure }: Micro): string[] {
  return proveProcedure(program, procedure)
    .findings.filter((each) => each.severity === "error")
    .map((each) => each.code);
}
