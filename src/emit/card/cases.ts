import type { Condition } from "../../program/condition.js";
import type { ExpectedLight } from "../../program/procedure.js";
import type { System } from "../../program/system.js";
import { capitalised, sentenceOf, type Words } from "./wording.js";

/** One column of a light block. */
export interface Case {
  /** Empty where there is but one case. */
  readonly heading: string;
  /** Whether a light that is listed so is lit in this case. */
  readonly takes: (expected: ExpectedLight) => boolean;
}

type Branch = { readonly text: string; readonly condition: Condition };

/**
 * The cases that a list of lights tells apart. Where no two conditions can hold together each is a column of its own, with what
 * is always lit in every column; else what each condition adds stands in a column beside what is always lit.
 */
export function casesOf(words: Words, lit: readonly ExpectedLight[]): readonly Case[] {
  const branches = new Map<string, Branch>();
  for (const { when } of lit)
    if (when) branches.set(sentenceOf(words, when), { text: sentenceOf(words, when), condition: when });
  const found = [...branches.values()];
  if (found.length === 0) return [{ heading: "", takes: () => true }];
  const textOf = (expected: ExpectedLight) => (expected.when ? sentenceOf(words, expected.when) : undefined);
  if (!exclusive(found)) return additions(found, textOf);
  const columns = found.map(
    ({ text }): Case => ({ heading: `If ${text}`, takes: (expected) => !expected.when || textOf(expected) === text }),
  );
  return exhaustive(words.system, found)
    ? columns
    : [...columns, { heading: "Otherwise", takes: (expected) => !expected.when }];
}

function additions(
  branches: readonly Branch[],
  textOf: (expected: ExpectedLight) => string | undefined,
): readonly Case[] {
  const added = branches.map(
    ({ text }): Case => ({ heading: `And if ${text}`, takes: (expected) => textOf(expected) === text }),
  );
  return [{ heading: capitalised("always"), takes: (expected) => !expected.when }, ...added];
}

type Atom = Condition & { readonly kind: "is" };

function exclusive(branches: readonly Branch[]): boolean {
  return branches.every((one, index) =>
    branches.slice(index + 1).every((other) => exclude(one.condition, other.condition)),
  );
}

function exclude(one: Condition, other: Condition): boolean {
  if (opposite(one, other)) return true;
  if (!isAtom(one) || !isAtom(other) || one.thing !== other.thing || one.negated || other.negated) return false;
  return !one.values.some((value) => other.values.includes(value));
}

/** One says the other is not so. */
function opposite(one: Condition, other: Condition): boolean {
  if (isAtom(one) && isAtom(other)) {
    const same =
      one.thing === other.thing &&
      one.values.length === other.values.length &&
      one.values.every((value) => other.values.includes(value));
    return same && one.negated !== other.negated;
  }
  if (one.kind === "light" && other.kind === "light")
    return one.light === other.light && one.state !== other.state && !one.negated && !other.negated;
  const inner = one.kind === "not" ? one.of : other.kind === "not" ? other.of : undefined;
  const outer = one.kind === "not" ? other : one;
  return inner !== undefined && inner.kind === "named" && outer.kind === "named" && inner.condition === outer.condition;
}

function isAtom(condition: Condition): condition is Atom {
  return condition.kind === "is";
}

function exhaustive(system: System, branches: readonly Branch[]): boolean {
  const conditions = branches.map((branch) => branch.condition);
  const [one, other] = conditions;
  if (one && other && conditions.length === 2 && opposite(one, other) && one.kind !== "light") return true;
  if (!conditions.every(isAtom) || !one || one.kind !== "is" || one.negated) return false;
  const named = new Set(conditions.flatMap((condition) => condition.values));
  return valuesOf(system, one).every((value) => named.has(value));
}

function valuesOf(system: System, atom: Atom): readonly string[] {
  const { thing } = atom;
  const states = system.equipment.get(thing)?.states ?? system.outside.get(thing)?.states;
  const positions = system.controls.get(thing)?.positions.map((position) => position.id);
  return states ?? positions ?? system.fits.find((fit) => fit.id === thing)?.values ?? ["?"];
}
