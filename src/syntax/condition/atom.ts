import { short } from "../words.js";
import type { ConditionSyntax, NameSyntax, TermSyntax } from "./ast.js";
import { TWO_READINGS } from "./complaint.js";
import { type Cursor, helpFor } from "./cursor.js";
import type { Token } from "./lexer.js";
import { isAtComparison, name, operator, quantity, term, values } from "./terms.js";
import { KEYWORDS } from "./words.js";

/** What reads the inside of parentheses. */
type Inner = (cursor: Cursor) => ConditionSyntax;

/** A condition without `and`, `or` and `not` outside of parentheses. */
export function atom(cursor: Cursor, inner: Inner): ConditionSyntax {
  const token = cursor.now();
  if (token.kind === "(") return parenthesis(cursor, inner);
  if (token.kind === "number") return comparison(cursor, token, term(cursor));
  if (token.kind !== "word") cursor.unexpected("where a condition begins");
  switch (token.text) {
    case "checked":
      return checked(cursor, inner);
    case "done":
      cursor.take();
      return { kind: "done", step: name(cursor, "the id of a step after `done`"), span: cursor.since(token) };
    case "recorded":
      cursor.take();
      return {
        kind: "recorded",
        gauge: name(cursor, "the name of a gauge after `recorded`"),
        span: cursor.since(token),
      };
    case "all":
    case "any":
      cursor.take();
      return aboutMany(cursor, token, token.text);
    default:
      return about(cursor, token);
  }
}

function parenthesis(cursor: Cursor, inner: Inner): ConditionSyntax {
  return cursor.deeper(() => {
    const open = cursor.take();
    const first = cursor.now();
    if (first.kind === ")")
      cursor.fail(first, "nothing stands in the parentheses", ["write a condition in them, or delete them"]);
    const condition = inner(cursor);
    if (cursor.now().kind === "end") cursor.fail(open, "this `(` is never closed", ["add the `)`"]);
    if (cursor.now().kind !== ")") cursor.unexpected("in the parentheses");
    cursor.take();
    return condition;
  });
}

function checked(cursor: Cursor, inner: Inner): ConditionSyntax {
  const start = cursor.take();
  if (cursor.now().kind !== "(") {
    cursor.fail(cursor.now(), "`checked` needs parentheses around what is checked", [
      "write `checked (breaker is open)`",
    ]);
  }
  return { kind: "checked", of: parenthesis(cursor, inner), span: cursor.since(start) };
}

/** `X`, `X is p/q`, `X is not p`, `X is within Q of Y`, `X >= Q`. */
function about(cursor: Cursor, start: Token): ConditionSyntax {
  const thing = name(cursor, "a name");
  if (isAtComparison(cursor)) return comparison(cursor, start, { kind: "name", ...thing });
  if (!cursor.isWord("is")) {
    refuseMissingIs(cursor, thing);
    return { kind: "name", thing, span: cursor.since(start) };
  }
  cursor.take();
  if (cursor.isWord("within")) return near(cursor, start, thing);
  const negated = takeNot(cursor);
  return { kind: "is", thing, negated, values: values(cursor), span: cursor.since(start) };
}

/** `all X`, `any X is p/q`, `any X is not p`. */
function aboutMany(cursor: Cursor, start: Token, quantifier: "all" | "any"): ConditionSyntax {
  const thing = name(cursor, `a name after \`${quantifier}\``);
  if (isAtComparison(cursor)) refuseMany(cursor, start, "a comparison");
  if (!cursor.isWord("is")) {
    refuseMissingIs(cursor, thing);
    return { kind: "name", quantifier, thing, span: cursor.since(start) };
  }
  const verb = cursor.take();
  if (cursor.isWord("within")) refuseMany(cursor, start, "`is within`");
  const negated = takeNot(cursor);
  const places = values(cursor);
  if (negated && quantifier === "all") refuseAllNot(cursor, verb, thing, places);
  return { kind: "is", quantifier, thing, negated, values: places, span: cursor.since(start) };
}

function takeNot(cursor: Cursor): boolean {
  const negated = cursor.isWord("not");
  if (negated) cursor.take();
  return negated;
}

function refuseMany(cursor: Cursor, quantifier: Token, what: string): never {
  cursor.fail(quantifier, `\`${quantifier.text}\` does not go with ${what}`, [
    "write it once for each, with `and` or `or` between",
  ]);
}

function refuseAllNot(cursor: Cursor, verb: Token, thing: NameSyntax, places: readonly NameSyntax[]): never {
  const is = `${thing.text} is`;
  const states = places.map(({ text }) => text).join("/");
  const at = { ...verb, end: verb.start + cursor.textSince(verb).length };
  const help = [`none of them: \`not any ${is} ${states}\``, `not every one of them: \`not all ${is} ${states}\``];
  cursor.fail(at, `\`all ${is} not ${states}\` can be read in two ways`, help, TWO_READINGS);
}

/** `pump on`: two words of which the second belongs to nothing. */
function refuseMissingIs(cursor: Cursor, thing: NameSyntax): void {
  const word = cursor.now();
  if (word.kind !== "word" || KEYWORDS.has(word.text)) return;
  const message = `\`${short(word.text)}\` stands where \`is\`, \`and\`, \`or\` or the end of the condition belongs`;
  const isMeant = `if it is where \`${thing.text}\` stands, write \`${thing.text} is ${short(word.text)}\``;
  cursor.fail(word, message, KEYWORDS.has(word.text.toLowerCase()) ? helpFor(word) : [isMeant]);
}

function near(cursor: Cursor, start: Token, thing: NameSyntax): ConditionSyntax {
  cursor.take();
  const distance = quantity(cursor, "a quantity after `is within` (such as `50 L`)");
  if (!cursor.isWord("of")) cursor.expected("`of` and the other gauge");
  cursor.take();
  const right = term(cursor);
  return { kind: "near", left: { kind: "name", ...thing }, distance, right, span: cursor.since(start) };
}

function comparison(cursor: Cursor, start: Token, left: TermSyntax): ConditionSyntax {
  const sign = operator(cursor);
  const right = term(cursor);
  if (isAtComparison(cursor)) {
    cursor.fail(cursor.now(), "two comparisons run into each other", [
      "write them apart: `rest >= 10 L and rest <= 20 L`",
    ]);
  }
  return { kind: "compare", left, operator: sign, right, span: cursor.since(start) };
}
