import type { FindingKind } from "../../diagnostics/finding.js";
import type { Span } from "../../source/file.js";
import { short } from "../words.js";
import { CONDITION_SYNTAX, CONDITION_TOO_DEEP, Complaint } from "./complaint.js";
import { type Token, tokenize } from "./lexer.js";
import type { Placer } from "./placer.js";
import { KEYWORDS } from "./words.js";

/** Parentheses, `not` and `checked` inside each other. */
const DEEPEST_CONDITION = 50;

/** The parser's place in a condition. What does not fit is thrown as a `Complaint`. */
export class Cursor {
  readonly #text: string;
  readonly #tokens: readonly Token[];
  readonly #place: Placer;
  #at = 0;
  #depth = 0;

  constructor(text: string, place: Placer) {
    this.#text = text;
    this.#tokens = tokenize(text);
    this.#place = place;
  }

  /** The token here; the last is of kind `end`. A method, because a property would be taken to stay as it was tested. */
  now(): Token {
    return this.#tokens[this.#at]!;
  }

  /** The token after this one. */
  next(): Token {
    return this.#tokens[this.#at + 1] ?? this.now();
  }

  /** Goes on, and gives the token that it went over. */
  take(): Token {
    const token = this.now();
    if (token.kind !== "end") this.#at += 1;
    return token;
  }

  isWord(text: string): boolean {
    return this.now().kind === "word" && this.now().text === text;
  }

  /** The place from a token to what was taken last. */
  since(start: Token): Span {
    return this.#place(start.start, this.#last().end);
  }

  spanOf(token: Token): Span {
    return this.#place(token.start, token.end);
  }

  textSince(start: Token): string {
    return this.#text.slice(start.start, this.#last().end);
  }

  /** Reads one level further in. */
  deeper<T>(inside: () => T): T {
    this.#depth += 1;
    if (this.#depth > DEEPEST_CONDITION) {
      const message = `more than ${DEEPEST_CONDITION} levels of parentheses stand inside each other`;
      throw new Complaint(CONDITION_TOO_DEEP, this.now(), message, ["give a part a name under `conditions`"]);
    }
    const result = inside();
    this.#depth -= 1;
    return result;
  }

  /** What belongs here is something else. */
  expected(wanted: string): never {
    const token = this.now();
    const found = token.kind === "end" ? "the condition ends" : `\`${short(token.text)}\` stands`;
    this.fail(token, `${found} where ${wanted} belongs`, helpFor(token));
  }

  /** Nothing belongs here. */
  unexpected(where: string): never {
    const token = this.now();
    if (token.kind === "end") this.fail(token, `the condition ends ${where}`, ["finish it, such as `breaker is open`"]);
    this.fail(token, `\`${short(token.text)}\` makes no sense ${where}`, helpFor(token));
  }

  /** At the last word where the text ends before what is missing. */
  fail(token: Token, message: string, help: readonly string[], kind: FindingKind = CONDITION_SYNTAX): never {
    throw new Complaint(kind, token.kind === "end" ? this.#last() : token, message, help);
  }

  #last(): Token {
    return this.#tokens[this.#at - 1] ?? this.now();
  }
}

/** A way out for a word that stands where it cannot. */
export function helpFor(token: Token): readonly string[] {
  const lower = token.text.toLowerCase();
  if (token.text !== lower && KEYWORDS.has(lower)) return [`write \`${lower}\``];
  if (token.text === ",") return ["join conditions with `and` or `or`, and states with `/`: `start-key is off/run`"];
  return ["a condition is such as `breaker is open`, `day-tank.port >= 100 L`, `all cooling-pump is off`"];
}
