import type { Outcome } from "../../diagnostics/finding.js";
import { finding } from "../../diagnostics/finding.js";
import type { ScalarNode } from "../tree.js";
import type { ConditionSyntax } from "./ast.js";
import { atom } from "./atom.js";
import { Complaint, MIXED, TWO_READINGS } from "./complaint.js";
import { Cursor } from "./cursor.js";
import type { Token } from "./lexer.js";
import { placer } from "./placer.js";
import { quantity } from "./terms.js";
import { MISWRITTEN_JOINERS } from "./words.js";

/**
 * A condition as written, with spans in the YAML file, whichever way the scalar is quoted or folded. Without a value where it cannot be
 * read, and then with one finding at the first place that makes no sense. Never throws.
 */
export function parseCondition(node: ScalarNode): Outcome<ConditionSyntax | undefined> {
  const place = placer(node);
  try {
    return { value: whole(new Cursor(node.text, place)), findings: [] };
  } catch (error) {
    if (!(error instanceof Complaint)) throw error;
    const at = place(error.start, error.end);
    return { value: undefined, findings: [finding(error.kind, at, error.message, { help: error.help })] };
  }
}

function whole(cursor: Cursor): ConditionSyntax {
  const condition = joined(cursor);
  const left = cursor.now();
  if (left.kind === ")") cursor.fail(left, "this `)` has no `(` before it", ["delete it, or open it before"]);
  if (left.kind !== "end") cursor.unexpected("after the condition");
  return condition;
}

/** Parts with `and` between them, or with `or`. */
function joined(cursor: Cursor): ConditionSyntax {
  const start = cursor.now();
  const parts = [part(cursor)];
  const joiner = joinerAt(cursor);
  if (!joiner) return parts[0]!.condition;
  for (let next: Token | undefined = joiner; next; next = joinerAt(cursor)) {
    if (next.text !== joiner.text) mixed(joiner, next);
    cursor.take();
    parts.push(part(cursor));
  }
  for (const each of parts) refuseLooseTime(each);
  return { kind: joiner.text as "and" | "or", of: parts.map(({ condition }) => condition), span: cursor.since(start) };
}

function joinerAt(cursor: Cursor): Token | undefined {
  const token = cursor.now();
  const meant = token.kind === "operator" ? MISWRITTEN_JOINERS.get(token.text) : undefined;
  if (meant) cursor.fail(token, `\`${token.text}\` is not a word of conditions`, [`write \`${meant}\``]);
  return cursor.isWord("and") || cursor.isWord("or") ? token : undefined;
}

function mixed(first: Token, second: Token): never {
  const message = `\`${first.text}\` and \`${second.text}\` are mixed without parentheses`;
  const help = "put parentheses around what belongs together, or give one part a name under `conditions`";
  throw new Complaint(MIXED, second, message, [help]);
}

interface Part {
  readonly condition: ConditionSyntax;
  /** The `for` of a time with no parentheses around what it is the time of. */
  readonly looseTime?: Token;
}

function part(cursor: Cursor): Part {
  const start = cursor.now();
  if (cursor.isWord("not")) return { condition: negated(cursor) };
  const isBare = start.kind !== "(" && !cursor.isWord("checked");
  const of = atom(cursor, joined);
  if (!cursor.isWord("for")) return { condition: of };
  const looseTime = cursor.take();
  const time = quantity(cursor, "a time after `for` (such as `60 s`)");
  const condition: ConditionSyntax = { kind: "for", of, time, span: cursor.since(start) };
  return isBare ? { condition, looseTime } : { condition };
}

function negated(cursor: Cursor): ConditionSyntax {
  return cursor.deeper(() => {
    const start = cursor.take();
    const of = part(cursor);
    refuseLooseTime(of);
    return { kind: "not", of: of.condition, span: cursor.since(start) };
  });
}

/** `a and b for 60 s`: the reader cannot tell whether the time is of `b` or of both. */
function refuseLooseTime({ looseTime }: Part): void {
  if (!looseTime) return;
  throw new Complaint(TWO_READINGS, looseTime, "it cannot be told of how much of the condition this time is", [
    "put parentheses around what must hold so long: `(generator is ready) for 60 s`",
  ]);
}
