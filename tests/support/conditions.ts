import type { CompareOperator, Condition, Term } from "../../src/program/condition.js";
import { type Quantity, type Rational, rational } from "../../src/program/quantity.js";
import type { System } from "../../src/program/system.js";
import type { Span } from "../../src/source/file.js";

export const nowhere: Span = { file: { path: "micro.yaml", text: "" }, start: 0, end: 0 };

/** A plain number as a quantity without a unit; exact. */
export function quantity(text: string): Quantity {
  return { text, unit: "", dimension: "number", value: exact(text) };
}

function exact(text: string): Rational {
  const [whole = "0", part = ""] = text.replace("-", "").split(".");
  const value = rational(BigInt(whole + part), 10n ** BigInt(part.length));
  return text.startsWith("-") ? { ...value, numerator: -value.numerator } : value;
}

/**
 * Reads the few words of conditions that small worlds in tests need. A reader of the tests' own, so that they rest on
 * neither the lexer nor the resolver: `a is b/c`, `a is not b`, `l is lit`, `all p is off`, `(P) for 60` (seconds),
 * `checked (P)`, `done S`, `recorded g`, `a >= 100`, `a is within 5 of b`, a named condition, `true`, and, or, not.
 */
export function condition(system: System, text: string): Condition {
  const words = text.match(/\(|\)|[<>=!]=?|[^\s()<>=!]+/g) ?? [];
  let at = 0;
  const next = () => words[at++] ?? "";
  const eat = (word: string): boolean => {
    if (words[at] !== word) return false;
    at++;
    return true;
  };
  const either = (): Condition => {
    const parts = [both()];
    while (eat("or")) parts.push(both());
    return parts.length === 1 ? parts[0]! : { kind: "or", of: parts, span: nowhere };
  };
  const both = (): Condition => {
    const parts = [timed()];
    while (eat("and")) parts.push(timed());
    return parts.length === 1 ? parts[0]! : { kind: "and", of: parts, span: nowhere };
  };
  const timed = (): Condition => {
    const of = single();
    return eat("for") ? { kind: "for", of, milliseconds: Number(next()) * 1000, span: nowhere } : of;
  };
  const single = (): Condition => {
    if (eat("(")) {
      const inner = either();
      if (!eat(")")) throw new Error(`no closing parenthesis in ${text}`);
      return inner;
    }
    if (eat("not")) return { kind: "not", of: single(), span: nowhere };
    if (eat("checked")) return { kind: "checked", of: single(), span: nowhere };
    if (eat("done")) return { kind: "done", step: next(), span: nowhere };
    if (eat("recorded")) return { kind: "recorded", gauge: next(), span: nowhere };
    if (eat("true")) return { kind: "constant", value: true, span: nowhere };
    if (words[at] === "all" || words[at] === "any") return quantified(next() as "all" | "any");
    const name = next();
    if (eat("is")) return is(name);
    const operator = words[at];
    if (operator && /^[<>=!]=?$/.test(operator)) {
      at++;
      return {
        kind: "compare",
        left: term(name),
        operator: operator as CompareOperator,
        right: term(next()),
        span: nowhere,
      };
    }
    if (!system.conditions.has(name)) throw new Error(`no condition ${name} in ${text}`);
    return { kind: "named", condition: name, span: nowhere };
  };
  const term = (word: string): Term =>
    system.gauges.has(word) ? { kind: "gauge", gauge: word } : { kind: "constant", value: quantity(word) };
  const is = (name: string): Condition => {
    if (eat("within")) {
      const distance = quantity(next());
      if (!eat("of")) throw new Error(`"within N of" in ${text}`);
      return { kind: "near", left: name, right: next(), distance, span: nowhere };
    }
    const negated = eat("not");
    const values = next().split("/");
    return atom(system, name, values, negated);
  };
  const quantified = (word: "all" | "any"): Condition => {
    const family = next();
    if (!eat("is")) throw new Error(`"${word} ${family} is" in ${text}`);
    const start = at;
    const parts = membersOf(system, family).map((member): Condition => {
      at = start;
      const fitted: Condition = { kind: "fitted", thing: member, span: nowhere };
      const inner = is(member);
      return word === "all"
        ? { kind: "or", of: [{ kind: "not", of: fitted, span: nowhere }, inner], span: nowhere }
        : { kind: "and", of: [fitted, inner], span: nowhere };
    });
    return { kind: word === "all" ? "and" : "or", of: parts, quantifier: { word, thing: family }, span: nowhere };
  };
  const whole = either();
  if (at < words.length) throw new Error(`"${words[at]}" is left over in ${text}`);
  return whole;
}

/** The members of a sided thing or a group; the thing itself where it has no sides. */
export function membersOf(system: System, name: string): readonly string[] {
  const group = system.groups.get(name);
  if (group) return group.members;
  const maps = [system.controls, system.equipment, system.lights, system.outside, system.gauges];
  for (const map of maps) {
    if (map.has(name)) return [name];
    const members = [...map.values()].filter((thing) => thing.family === name && thing.side !== undefined);
    if (members.length > 0) return members.map((thing) => thing.id);
  }
  throw new Error(`nothing is called ${name}`);
}

function atom(system: System, thing: string, values: readonly string[], negated: boolean): Condition {
  if (system.lights.has(thing)) {
    const state = values[0];
    if (state !== "lit" && state !== "out" && state !== "flashing") throw new Error(`a light is ${state}`);
    return { kind: "light", light: thing, state, negated, span: nowhere };
  }
  const of = system.controls.has(thing)
    ? "control"
    : system.equipment.has(thing)
      ? "equipment"
      : system.outside.has(thing)
        ? "outside"
        : system.fits.some((fit) => fit.id === thing)
          ? "fit"
          : undefined;
  if (!of) throw new Error(`nothing is called ${thing}`);
  return { kind: "is", of, thing, values, negated, span: nowhere };
}
