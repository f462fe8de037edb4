import { unreachable } from "../../invariant.js";
import type { CompareOperator, Condition, Term } from "../../program/condition.js";
import type { Quantity } from "../../program/quantity.js";
import type { System } from "../../program/system.js";
import { capitals, durationOf, findThing, joinNames, joinWords, nameOf, placardOf } from "./names.js";

/** What is looked at, and what it must read. */
export interface Pair {
  readonly challenge: string;
  readonly response: string;
}

/** What words need besides the condition: the system, and the printed number of a step by its name. */
export interface Words {
  readonly system: System;
  readonly numberOf: (step: string) => string | undefined;
  /** Whether to say how the crew can see a thing; always where not given. A card says it once. */
  readonly tellsHow?: (thing: string) => boolean;
}

/** One pair for each thing that a crew looks at: `a and b` gives two. What does not come apart is one sentence, answered YES. */
export function pairsOf(words: Words, condition: Condition): readonly Pair[] {
  const plain = withoutGuards(words, condition);
  if (plain.kind === "and" && !memberAtoms(plain)) return plain.of.flatMap((part) => pairsOf(words, part));
  return [pairOf(words, plain) ?? { challenge: capitalised(sentenceOf(words, plain)), response: "YES" }];
}

/** The condition as a clause of a sentence: `GEN BREAKER is CLOSED and OIL is 3 to 4.5 bar`. */
export function sentenceOf(words: Words, condition: Condition): string {
  const plain = withoutGuards(words, condition);
  const pair = pairOf(words, plain);
  if (pair) return clauseOf(plain, pair);
  switch (plain.kind) {
    case "and":
    case "or":
      return joinWords(
        plain.of.map((part) => insideOf(words, part, plain.kind)),
        plain.kind,
      );
    case "not":
      return plain.of.kind === "done"
        ? doneClause(words, plain.of.step, "is not")
        : `not (${sentenceOf(words, plain.of)})`;
    case "for":
      return `${insideOf(words, plain.of, "for")} for ${durationOf(plain.milliseconds)}`;
    case "checked":
      return `it has been seen that ${sentenceOf(words, plain.of)}`;
    case "done":
      return doneClause(words, plain.step, "is");
    case "constant":
      return plain.value ? "always" : "never";
    case "named":
      return nameOf(words.system, plain.condition);
    default:
      return "";
  }
}

/** The text with its first letter in capitals. */
export function capitalised(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

function doneClause(words: Words, step: string, verb: "is" | "is not"): string {
  return `line ${words.numberOf(step) ?? step} ${verb} done`;
}

/** A label of more than one word that is no engraving goes small into a sentence: `Something burns`. */
function inSentence(label: string): string {
  return /^[A-Z][a-z]* [a-z]/.test(label) ? label.charAt(0).toLowerCase() + label.slice(1) : label;
}

function insideOf(words: Words, part: Condition, around: string): string {
  const text = sentenceOf(words, part);
  const mixed = (part.kind === "and" || part.kind === "or") && part.kind !== around && !pairOf(words, part);
  return mixed ? `(${text})` : text;
}

function clauseOf(condition: Condition, pair: Pair): string {
  if (pair.response === "YES") return inSentence(pair.challenge);
  if (pair.response === "NO") return `it is not so that ${inSentence(pair.challenge)}`;
  const several = condition.kind === "and" && memberAtoms(condition);
  return `${pair.challenge} ${several ? "are" : "is"} ${pair.response}`;
}

function pairOf(words: Words, condition: Condition): Pair | undefined {
  const { system } = words;
  switch (condition.kind) {
    case "is":
      return { challenge: seenBy(words, condition.thing), response: statesOf(system, condition) };
    case "light":
      return { challenge: nameOf(system, condition.light), response: lightState(system, condition) };
    case "compare":
      return comparePair(system, condition.left, condition.operator, condition.right);
    case "near":
      return {
        challenge: nameOf(system, condition.left),
        response: `within ${condition.distance.text} of ${nameOf(system, condition.right)}`,
      };
    case "band":
      return { challenge: nameOf(system, condition.gauge), response: bandText(condition) };
    case "named":
      return { challenge: seenBy(words, condition.condition), response: "YES" };
    case "recorded":
      return { challenge: nameOf(system, condition.gauge), response: "written down" };
    case "fitted":
      return { challenge: nameOf(system, condition.thing), response: "fitted" };
    case "for":
      return lasting(pairOf(words, condition.of), durationOf(condition.milliseconds));
    case "not":
      return negated(pairOf(words, condition.of));
    case "and":
    case "or":
      return memberPair(words, condition);
    case "constant":
    case "checked":
    case "done":
      return undefined;
    default:
      return unreachable(condition);
  }
}

function lasting(pair: Pair | undefined, time: string): Pair | undefined {
  return pair && pair.response !== "YES" ? { ...pair, response: `${pair.response} for ${time}` } : undefined;
}

function negated(pair: Pair | undefined): Pair | undefined {
  if (!pair) return undefined;
  return { ...pair, response: pair.response === "YES" ? "NO" : `not ${pair.response}` };
}

function statesOf(system: System, condition: Condition & { kind: "is" }): string {
  const print = (value: string) =>
    condition.of === "control" ? placardOf(system, condition.thing, value) : capitals(value);
  const text = joinWords(condition.values.map(print), "or");
  return condition.negated ? `not ${text}` : text;
}

function lightState(system: System, condition: Condition & { kind: "light" }): string {
  const sound = system.lights.get(condition.light)?.sound ?? false;
  const text = sound
    ? { lit: "SOUNDS", out: "SILENT", flashing: "SOUNDS" }
    : { lit: "LIT", out: "OUT", flashing: "FLASHING" };
  return condition.negated ? `not ${text[condition.state]}` : text[condition.state];
}

function bandText(condition: Condition & { kind: "band" }): string {
  const text = rangeText(condition.low, condition.high) ?? condition.band;
  return condition.negated ? `not ${text}` : text;
}

/** `3 to 4.5 bar`: a unit that both ends share is printed once. */
function rangeText(low: Quantity | undefined, high: Quantity | undefined): string | undefined {
  if (low && high) {
    const unit = ` ${high.unit}`;
    const shared = low.text.endsWith(unit) && high.text.endsWith(unit);
    return `${shared ? low.text.slice(0, -unit.length) : low.text} to ${high.text}`;
  }
  if (low) return `${low.text} or more`;
  return high && `${high.text} or less`;
}

const MIRRORED = { "<": ">", "<=": ">=", "=": "=", "!=": "!=", ">=": "<=", ">": "<" } as const;

function comparePair(system: System, left: Term, operator: CompareOperator, right: Term): Pair | undefined {
  if (left.kind === "gauge") {
    const constant = right.kind === "constant";
    const other = constant ? right.value.text : nameOf(system, right.gauge);
    return { challenge: nameOf(system, left.gauge), response: compareText(operator, other, constant) };
  }
  return right.kind === "gauge" ? comparePair(system, right, MIRRORED[operator], left) : undefined;
}

function compareText(operator: CompareOperator, other: string, constant: boolean): string {
  switch (operator) {
    case "<":
      return `below ${other}`;
    case "<=":
      return constant ? `${other} or less` : `not above ${other}`;
    case "=":
      return constant ? other : `equal to ${other}`;
    case "!=":
      return `not ${constant ? "" : "equal to "}${other}`;
    case ">=":
      return constant ? `${other} or more` : `not below ${other}`;
    case ">":
      return `above ${other}`;
    default:
      return unreachable(operator);
  }
}

/** `Generator (tachometer)`: what the crew looks at to see it. */
function seenBy(words: Words, id: string): string {
  const { system } = words;
  const shown = system.equipment.get(id)?.shown ?? system.outside.get(id)?.shown ?? system.conditions.get(id)?.shown;
  return shown && (words.tellsHow?.(id) ?? true) ? `${nameOf(system, id)} (${shown})` : nameOf(system, id);
}

/** `all X is p` and `any X is p`, which came apart into members, as one line again. */
function memberPair(words: Words, condition: Condition & { kind: "and" | "or" }): Pair | undefined {
  const atoms = memberAtoms(condition);
  if (!atoms) return undefined;
  const pairs = atoms.map(({ atom }) => pairOf(words, atom));
  const response = pairs[0]?.response;
  if (response === undefined || pairs.some((pair) => pair?.response !== response)) return undefined;
  const ids = atoms.map(({ thing }) => thing);
  return { challenge: joinNames(words.system, ids, condition.kind), response };
}

function memberAtoms(condition: Condition): readonly { atom: Condition; thing: string }[] | undefined {
  if ((condition.kind !== "and" && condition.kind !== "or") || !condition.quantifier) return undefined;
  const atoms = condition.of.map((part) => {
    const atom = condition.of.length > 0 ? unguarded(part) : part;
    const thing = thingOf(atom);
    return thing === undefined ? undefined : { atom, thing };
  });
  return atoms.every((atom) => atom !== undefined) ? atoms : undefined;
}

/** A member's own atom: the guard that passes over what is not fitted is nothing that a crew reads. */
function unguarded(condition: Condition): Condition {
  if (condition.kind !== "and" && condition.kind !== "or") return condition;
  const rest = condition.of.filter(
    (part) => !(part.kind === "fitted" || (part.kind === "not" && part.of.kind === "fitted")),
  );
  return rest.length === 1 && rest[0] ? rest[0] : condition;
}

function thingOf(condition: Condition): string | undefined {
  switch (condition.kind) {
    case "is":
      return condition.thing;
    case "light":
      return condition.light;
    case "named":
      return condition.condition;
    case "band":
      return condition.gauge;
    case "compare":
      return condition.left.kind === "gauge" ? condition.left.gauge : undefined;
    default:
      return undefined;
  }
}

/** Drops guards of fit, and opens a named condition that has no words of its own. */
function withoutGuards(words: Words, condition: Condition): Condition {
  const bare = unguarded(condition);
  if (bare.kind !== "named") return bare;
  const thing = findThing(words.system, bare.condition);
  const named = words.system.conditions.get(bare.condition);
  return named && !named.shown && thing?.label === thing?.family ? withoutGuards(words, named.means) : bare;
}
