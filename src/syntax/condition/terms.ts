import { short } from "../words.js";
import type { NameSyntax, QuantitySyntax, TermSyntax } from "./ast.js";
import { QUANTITY_SYNTAX } from "./complaint.js";
import type { Cursor } from "./cursor.js";
import { KEYWORDS, MISWRITTEN, MISWRITTEN_JOINERS, OPERATORS, type Operator } from "./words.js";

/** A name that is no keyword; `wanted` says in a finding what it is the name of. */
export function name(cursor: Cursor, wanted: string): NameSyntax {
  const token = cursor.now();
  if (token.kind !== "word" || KEYWORDS.has(token.text)) cursor.expected(wanted);
  cursor.take();
  return { text: token.text, span: cursor.spanOf(token) };
}

/** `p` or `p/q`: positions or states. */
export function values(cursor: Cursor): NameSyntax[] {
  const all = [value(cursor)];
  while (cursor.now().kind === "/") {
    cursor.take();
    all.push(value(cursor));
  }
  return all;
}

function value(cursor: Cursor): NameSyntax {
  const token = cursor.now();
  if (token.kind === "number") {
    cursor.fail(token, "a number stands where a position or state belongs", [
      "compare a reading with `=`, `<`, `<=`, `>` or `>=`",
    ]);
  }
  return name(cursor, "a position, a state, or `lit`, `out`, `flashing`");
}

/** One side of a comparison. */
export function term(cursor: Cursor): TermSyntax {
  if (cursor.now().kind === "number") return { kind: "quantity", ...quantity(cursor, "a quantity") };
  return { kind: "name", ...name(cursor, "a gauge or a quantity") };
}

/** A number and its unit; `wanted` says in a finding what it is for. */
export function quantity(cursor: Cursor, wanted: string): QuantitySyntax {
  const token = cursor.now();
  if (token.kind !== "number") cursor.expected(wanted);
  if (!NUMBER.test(token.text)) {
    const help = ["write digits and one decimal point, as in `1500` or `0.5`"];
    cursor.fail(token, `\`${short(token.text)}\` is not a number`, help, QUANTITY_SYNTAX);
  }
  cursor.take();
  return { number: token.text, unit: unit(cursor), span: cursor.since(token) };
}

const NUMBER = /^[+-]?[0-9]+(\.[0-9]+)?$/;

/** `L`, `%`, `L/min`; empty where the next word is a keyword. */
function unit(cursor: Cursor): string {
  const first = cursor.now();
  if (first.kind !== "word" || KEYWORDS.has(first.text)) return "";
  cursor.take();
  while (cursor.now().kind === "/" && cursor.next().kind === "word") {
    cursor.take();
    cursor.take();
  }
  return cursor.textSince(first);
}

/** True at a comparison, rightly written or not. */
export function isAtComparison(cursor: Cursor): boolean {
  return cursor.now().kind === "operator" && !MISWRITTEN_JOINERS.has(cursor.now().text);
}

export function operator(cursor: Cursor): Operator {
  const token = cursor.now();
  const meant = MISWRITTEN.get(token.text);
  if (meant) cursor.fail(token, `\`${token.text}\` is not a comparison`, [`write \`${meant}\``]);
  const known = token.kind === "operator" ? OPERATORS.get(token.text) : undefined;
  if (!known) cursor.expected("a comparison (`<`, `<=`, `=`, `!=`, `>=` or `>`)");
  cursor.take();
  return known;
}
