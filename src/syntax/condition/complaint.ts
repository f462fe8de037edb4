import type { FindingKind } from "../../diagnostics/finding.js";
import { SMALL_REPOSITORY, withSteps } from "../examples.js";

/** What is wrong with a condition, at offsets of its own text. Thrown inside the parser and caught at its door: it never leaves it. */
export class Complaint extends Error {
  readonly kind: FindingKind;
  readonly start: number;
  readonly end: number;
  readonly help: readonly string[];

  constructor(
    kind: FindingKind,
    place: { readonly start: number; readonly end: number },
    message: string,
    help: readonly string[],
  ) {
    super(message);
    this.kind = kind;
    this.start = place.start;
    this.end = place.end;
    this.help = help;
  }
}

export const CONDITION_SYNTAX: FindingKind = {
  code: "condition/syntax",
  severity: "error",
  summary: "The condition cannot be read.",
  why: "A condition that has no reading cannot be proved, and no crew can decide by it.",
  bad: withSteps("  - if: pump on\n    then:\n      - set: { pump: off }\n"),
  good: withSteps("  - if: pump is on\n    then:\n      - set: { pump: off }\n"),
};

export const MIXED: FindingKind = {
  code: "condition/mixed",
  severity: "error",
  summary: "`and` and `or` are mixed in one condition without parentheses.",
  why: "Readers differ on which of the two binds first. Based on NUREG-0899: AND and OR are not mixed in one condition without a list.",
  bad: withSteps("  - if: pump is on and pump is on or pump is off\n    then:\n      - set: { pump: off }\n"),
  good: withSteps("  - if: pump is on or (pump is off and pump is off)\n    then:\n      - set: { pump: off }\n"),
};

export const TWO_READINGS: FindingKind = {
  code: "condition/two-readings",
  severity: "error",
  summary: "The condition can be read in two ways.",
  why: "`all pumps is not on` is read by some as: none is on, by others as: not every one is on. A card may not leave that to the reader.",
  bad: withSteps("  - if: all pump is not on\n    then:\n      - set: { pump: on }\n"),
  good: withSteps("  - if: pump is not on\n    then:\n      - set: { pump: on }\n"),
};

export const CONDITION_TOO_DEEP: FindingKind = {
  code: "condition/too-deep",
  severity: "error",
  summary: "The condition has too many parentheses inside each other.",
  why: "Nobody can decide by a condition like this. Named conditions make it readable.",
  bad: withSteps(`  - if: ${"(".repeat(60)}pump is on${")".repeat(60)}\n    then:\n      - set: { pump: off }\n`),
  good: withSteps("  - if: (pump is on)\n    then:\n      - set: { pump: off }\n"),
};

function withGauge(least: string): Readonly<Record<string, string>> {
  const steps = `  - check: tank >= ${least}\n    if-not: { set-aside: Fill the tank. }\n  - set: { pump: on }\n`;
  const system = `${SMALL_REPOSITORY["rig.yaml"]}gauges:\n  tank: { label: TANK, unit: L, range: 0 to 50 }\n`;
  return { ...withSteps(steps), "rig.yaml": system };
}

export const QUANTITY_SYNTAX: FindingKind = {
  code: "condition/quantity",
  severity: "error",
  summary: "A number, or a number with its unit, cannot be read.",
  why: "A comma is a decimal mark to one reader and a mark of thousands to the next; the language has one way to write a number.",
  bad: withGauge("1,5 L"),
  good: withGauge("1.5 L"),
};
