import { describe, expect, test } from "vitest";
import { proveProcedure } from "../../../src/prove/prove.js";
import { interpret } from "../../oracle/interpreter.js";
import { type Draft, hold, type Micro, micro, repeat, set, together, waitFor, when } from "../../support/micro.js";

/**
 * Textbook protocols of two that work at once, as the lanes of a card. Verdicts: Baier and Katoen, Principles of Model
 * Checking (2008), chapter 2, for Peterson and the philosophers; Dijkstra 1965 for Dekker; each recomputed by breadth-first search by
 * a program that is not part of this project. A lane goes through its protocol once, which is enough for each of the
 * verdicts. Being inside the critical section is a control of its own; that both are inside is what must never be.
 */
interface Protocol {
  readonly name: string;
  readonly lane: (own: string, other: string) => readonly Draft[];
  readonly finds: readonly string[];
}

const inside = (own: string) => [set(`in${own} yes`), set(`in${own} no`)];

const PROTOCOLS: readonly Protocol[] = [
  {
    name: "Peterson: the flag, then the turn to the other",
    lane: (own, other) => [
      set(`flag${own} on`),
      set(`turn ${other}`),
      waitFor(`flag${other} is off or turn is ${own}`),
      ...inside(own),
      set(`flag${own} off`),
    ],
    finds: [],
  },
  {
    name: "Peterson with the two lines swapped",
    lane: (own, other) => [
      set(`turn ${other}`),
      set(`flag${own} on`),
      waitFor(`flag${other} is off or turn is ${own}`),
      ...inside(own),
      set(`flag${own} off`),
    ],
    finds: ["order/never"],
  },
  {
    name: "look, then raise the flag",
    lane: (own, other) => [waitFor(`flag${other} is off`), set(`flag${own} on`), ...inside(own), set(`flag${own} off`)],
    finds: ["order/never"],
  },
  {
    name: "raise the flag, then wait: a deadlock, and never both inside",
    lane: (own, other) => [set(`flag${own} on`), waitFor(`flag${other} is off`), ...inside(own), set(`flag${own} off`)],
    finds: ["flow/waits-for-ever"],
  },
  {
    name: "Dekker",
    lane: (own, other) => [
      set(`flag${own} on`),
      repeat(
        [
          when(`flag${other} is on`, [
            when(`turn is ${other}`, [set(`flag${own} off`), waitFor(`turn is ${own}`), set(`flag${own} on`)]),
          ]),
        ],
        { until: `flag${other} is off` },
      ),
      ...inside(own),
      set(`turn ${other}`),
      set(`flag${own} off`),
    ],
    finds: [],
  },
];

const world = `ctl flag1: off on
  ctl flag2: off on
  ctl turn: 1 2
  ctl in1: no yes
  ctl in2: no yes
  rule apart: never in1 is yes and in2 is yes`;

describe("two at once", () => {
  test.each(PROTOCOLS)("$name", ({ lane, finds }) => {
    const steps = [together(lane("1", "2"), lane("2", "1"))];
    const both = micro(world, { begins: ["flag1 is off", "flag2 is off", "in1 is no", "in2 is no"], steps });
    expect(walked(both)).toEqual(finds);
    expect(proved(both)).toEqual(finds);
  });
});

/**
 * Dining philosophers (Dijkstra 1971): each takes one fork and then the other, and holds both to eat. All with the same hand
 * first: a deadlock, after as many moments as there are philosophers. One with the other hand first: none. That one
 * waits for a fork which another holds is told too: it is how the word "held" is meant.
 */
describe("dining philosophers", () => {
  const card = (size: number, leftHanded: boolean): Micro => {
    const forks = Array.from({ length: size }, (_, fork) => `ctl f${fork}: down up, springs up>down`);
    const lanes = forks.map((_, who): readonly Draft[] => {
      const [first, second] = leftHanded && who === 0 ? [(who + 1) % size, who] : [who, (who + 1) % size];
      return [hold(`f${first} up`, [hold(`f${second} up`)])];
    });
    return micro(forks.join("\n"), { steps: [together(...lanes)] });
  };

  test.each([2, 3])("%i with the same hand come to a standstill", (size) => {
    const same = card(size, false);
    expect(new Set(walked(same))).toEqual(new Set(["flow/waits-for-ever", "lanes/held"]));
    const standstill = interpret(same.program, same.procedure).findings.find(
      (finding) => finding.code === "flow/waits-for-ever",
    );
    expect(standstill?.moments).toBe(size);
  });

  test.each([2, 3])("%i with the same hand, as the prover sees them", (size) => {
    expect(new Set(proved(card(size, false)))).toEqual(new Set(["flow/waits-for-ever", "lanes/held"]));
  });

  test.each([2, 3])("%i, one of them left-handed, do not", (size) => {
    const one = card(size, true);
    expect(new Set(walked(one))).toEqual(new Set(["lanes/held"]));
    expect(new Set(proved(one))).toEqual(new Set(["lanes/held"]));
  });
});

function walked({ program, procedure }: Micro): string[] {
  return interpret(program, procedure)
    .findings.filter((finding) => finding.severity === "error")
    .map((finding) => finding.code);
}

function proved({ program, procedure }: Micro): string[] {
  return proveProcedure(program, procedure)
    .findings.filter((finding) => finding.severity === "error")
    .map((finding) => finding.code);
}
