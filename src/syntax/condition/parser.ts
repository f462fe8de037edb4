import type { Outcome } from "../../diagnostics/finding.js";
import { finding } from "../../diagnostics/finding.js";
import type { Span } from "../../source/file.js";
import type { ScalarNode } from "../tree.js";
import { short } from "../words.js";
import type { ConditionSyntax, NameSyntax, QuantitySyntax, TermSyntax } from "./ast.js";
import { CONDITION_SYNTAX, CONDITION_TOO_DEEP, Complaint, MIXED, QUANTITY_SYNTAX, TWO_READINGS } from "./complaint.js";
import { type Token, tokenize } from "./lexer.js";
import { offsetsInFile } from "./offsets.js";

/** Parentheses, `not` and `checked` inside each other. */
const DEEPEST_CONDITION = 50;

/**
 * A condition as written, with spans in the YAML file, whichever way the scalar is quoted or folded. Without a value where it cannot be
 * read, and then with one finding at the first place that makes no sense. Never throws.
 */
export function parseCondition(node: ScalarNode): Outcome<ConditionSyntax | undefined> {
  const place = placer(node);
  try {
    return { value: new ConditionParser(tokenize(node.text), node.text, place).whole(), findings: [] };
  } catch (error) {
    if (!(error instanceof Complaint)) throw error;
    const at = place(error.start, error.end);
    return { value: undefined, findings: [finding(error.kind, at, error.message, { help: error.help })] };
  }
}

/** Offsets of the condition's text to a span in the file. */
export type Placer = (start: number, end: number) => Span;

export function placer(node: ScalarNode): Placer {
  const offsets = offsetsInFile(node);
  return (start, end) => {
    const from = offsets[start] ?? node.span.end;
    const to = end > start ? (offsets[end - 1] ?? node.span.end) + 1 : from;
    return { file: node.span.file, start: from, end: Math.max(from, to) };
  };
}

type Quantifier = { readonly word: "all" | "any"; readonly token: Token };

class ConditionParser {
  readonly #tokens: readonly Token[];
  readonly #text: string;
  readonly #place: Placer;
  #at = 0;
  #depth = 0;

  constructor(tokens: readonly Token[], text: string, place: Placer) {
    this.#tokens = tokens;
    this.#text = text;
    this.#place = place;
  }

  whole(): ConditionSyntax {
    const condition = this.#joined();
    if (this.#now().kind === ")")
      this.#fail(this.#now(), "this `)` has no `(` before it", ["delete it, or open it before"]);
    if (this.#now().kind !== "end") this.#unexpected("after the condition");
    return condition;
  }

  #joined(): ConditionSyntax {
    const start = this.#now();
    const parts = [this.#part()];
    const joiner = this.#joiner();
    if (!joiner) return parts[0]!;
    for (let next: Token | undefined = joiner; next; next = this.#joiner()) {
      if (next.text !== joiner.text) this.#mixed(joiner, next);
      this.#at += 1;
      parts.push(this.#part());
    }
    for (const part of parts) this.#refuseLooseTime(part);
    return { kind: joiner.text as "and" | "or", of: parts, span: this.#since(start) };
  }

  /** `and` or `or` at this place. */
  #joiner(): Token | undefined {
    const token = this.#now();
    if (token.kind === "operator" && JOINERS.has(token.text)) {
      this.#fail(token, `\`${token.text}\` is not a word of conditions`, [`write \`${JOINERS.get(token.text)}\``]);
    }
    return token.kind === "word" && (token.text === "and" || token.text === "or") ? token : undefined;
  }

  #mixed(first: Token, second: Token): never {
    const message = `\`${first.text}\` and \`${second.text}\` are mixed without parentheses`;
    throw new Complaint(MIXED, second, message, [
      "put parentheses around what belongs together, or give one part a name under `conditions`",
    ]);
  }

  /** `a and b for 60 s`: the reader cannot tell whether the time is of `b` or of both. */
  #refuseLooseTime(part: ConditionSyntax): void {
    if (!this.#loose.has(part)) return;
    const { start, end } = this.#loose.get(part)!;
    throw new Complaint(TWO_READINGS, { start, end }, "it cannot be told of how much of the condition this time is", [
      "put parentheses around what must hold so long: `(generator is ready) for 60 s`",
    ]);
  }

  /** Conditions with a time and no parentheses, and where their `for` stands. */
  readonly #loose = new Map<ConditionSyntax, Token>();

  #part(): ConditionSyntax {
    const start = this.#now();
    if (this.#isWord("not")) {
      return this.#deeper(() => {
        this.#at += 1;
        const of = this.#part();
        this.#refuseLooseTime(of);
        return { kind: "not", of, span: this.#since(start) };
      });
    }
    const bare = start.kind !== "(" && !this.#isWord("checked");
    const of = this.#atom();
    if (!this.#isWord("for")) return of;
    const mark = this.#now();
    this.#at += 1;
    const time = this.#quantity("a time after `for` (such as `60 s`)");
    const timed: ConditionSyntax = { kind: "for", of, time, span: this.#since(start) };
    if (bare) this.#loose.set(timed, mark);
    return timed;
  }

  #atom(): ConditionSyntax {
    const token = this.#now();
    if (token.kind === "(") return this.#parenthesis();
    if (token.kind === "number") return this.#comparison(token, this.#term());
    if (token.kind !== "word") this.#unexpected("where a condition begins");
    switch (token.text) {
      case "checked":
        return this.#checked();
      case "done":
        this.#at += 1;
        return { kind: "done", step: this.#name("the id of a step after `done`"), span: this.#since(token) };
      case "recorded":
        this.#at += 1;
        return {
          kind: "recorded",
          gauge: this.#name("the name of a gauge after `recorded`"),
          span: this.#since(token),
        };
      case "all":
      case "any":
        this.#at += 1;
        return this.#about(token, { word: token.text, token });
      default:
        return this.#about(token);
    }
  }

  #parenthesis(): ConditionSyntax {
    const open = this.#now();
    return this.#deeper(() => {
      this.#at += 1;
      if (this.#now().kind === ")")
        this.#fail(this.#now(), "nothing stands in the parentheses", ["write a condition in them, or delete them"]);
      const inner = this.#joined();
      if (this.#now().kind === "end") this.#fail(open, "this `(` is never closed", ["add the `)`"]);
      if (this.#now().kind !== ")") this.#unexpected("in the parentheses");
      this.#at += 1;
      return inner;
    });
  }

  #checked(): ConditionSyntax {
    const start = this.#now();
    this.#at += 1;
    if (this.#now().kind !== "(") {
      this.#fail(this.#now(), "`checked` needs parentheses around what is checked", [
        "write `checked (breaker is open)`",
      ]);
    }
    return { kind: "checked", of: this.#parenthesis(), span: this.#since(start) };
  }

  /** What begins with a name: `X`, `X is p/q`, `X is not p`, `X is within Q of Y`, `X >= Q`. */
  #about(start: Token, quantifier?: Quantifier): ConditionSyntax {
    const thing = this.#name(quantifier ? `a name after \`${quantifier.word}\`` : "a name");
    const many = quantifier ? { quantifier: quantifier.word } : {};
    if (this.#now().kind === "operator" && !JOINERS.has(this.#now().text)) {
      if (quantifier)
        this.#fail(quantifier.token, `\`${quantifier.word}\` does not go with a comparison`, [
          "write one comparison for each, with `and` or `or` between",
        ]);
      return this.#comparison(start, { kind: "name", ...thing });
    }
    if (!this.#isWord("is")) {
      this.#refuseMissingIs(thing);
      return { kind: "name", ...many, thing, span: this.#since(start) };
    }
    const verb = this.#now();
    this.#at += 1;
    if (this.#isWord("within")) return this.#near(start, thing, quantifier);
    const negated = this.#isWord("not");
    if (negated) this.#at += 1;
    if (negated && quantifier?.word === "all") this.#refuseAllNot(verb, thing);
    return { kind: "is", ...many, thing, negated, values: this.#values(), span: this.#since(start) };
  }

  #refuseAllNot(verb: Token, thing: NameSyntax): never {
    const values = this.#values().map((value) => value.text);
    const last = this.#tokens[this.#at - 1]!;
    throw new Complaint(
      TWO_READINGS,
      { start: verb.start, end: last.end },
      `\`all ${thing.text} is not ${values.join("/")}\` can be read in two ways`,
      [
        `none of them: \`not any ${thing.text} is ${values.join("/")}\``,
        `not every one of them: \`not all ${thing.text} is ${values.join("/")}\``,
      ],
    );
  }

  #refuseMissingIs(thing: NameSyntax): void {
    const word = this.#now();
    if (word.kind !== "word" || KEYWORDS.has(word.text)) return;
    const message = `\`${short(word.text)}\` stands where \`is\`, \`and\`, \`or\` or the end of the condition belongs`;
    const isMeant = `if it is where \`${thing.text}\` stands, write \`${thing.text} is ${short(word.text)}\``;
    this.#fail(word, message, KEYWORDS.has(word.text.toLowerCase()) ? helpFor(word) : [isMeant]);
  }

  #values(): NameSyntax[] {
    const values = [this.#value()];
    while (this.#now().kind === "/") {
      this.#at += 1;
      values.push(this.#value());
    }
    return values;
  }

  #value(): NameSyntax {
    if (this.#now().kind === "number") {
      this.#fail(this.#now(), "a number stands where a position or state belongs", [
        "compare a reading with `=`, `<`, `<=`, `>` or `>=`",
      ]);
    }
    return this.#name("a position, a state, or `lit`, `out`, `flashing`");
  }

  #near(start: Token, thing: NameSyntax, quantifier?: Quantifier): ConditionSyntax {
    if (quantifier)
      this.#fail(quantifier.token, `\`${quantifier.word}\` does not go with \`is within\``, [
        "write it once for each, with `and` or `or` between",
      ]);
    this.#at += 1;
    const distance = this.#quantity("a quantity after `is within` (such as `50 L`)");
    if (!this.#isWord("of")) this.#expected("`of` and the other gauge");
    this.#at += 1;
    return { kind: "near", left: { kind: "name", ...thing }, distance, right: this.#term(), span: this.#since(start) };
  }

  #comparison(start: Token, left: TermSyntax): ConditionSyntax {
    const operator = this.#operator();
    this.#at += 1;
    const right = this.#term();
    if (this.#now().kind === "operator" && !JOINERS.has(this.#now().text)) {
      this.#fail(this.#now(), "two comparisons run into each other", [
        "write them apart: `rest >= 10 L and rest <= 20 L`",
      ]);
    }
    return { kind: "compare", left, operator, right, span: this.#since(start) };
  }

  #operator(): "<" | "<=" | "=" | "!=" | ">=" | ">" {
    const token = this.#now();
    const known = OPERATORS.get(token.text);
    if (token.kind === "operator" && known) return known;
    const meant = MISWRITTEN.get(token.text);
    if (token.kind === "operator" && meant)
      this.#fail(token, `\`${token.text}\` is not a comparison`, [`write \`${meant}\``]);
    return this.#expected("a comparison: `<`, `<=`, `=`, `!=`, `>=` or `>`");
  }

  #term(): TermSyntax {
    if (this.#now().kind === "number") return { kind: "quantity", ...this.#quantity("a quantity") };
    return { kind: "name", ...this.#name("a gauge or a quantity") };
  }

  #quantity(wanted: string): QuantitySyntax {
    const token = this.#now();
    if (token.kind !== "number") this.#expected(wanted);
    if (!NUMBER.test(token.text)) {
      throw new Complaint(QUANTITY_SYNTAX, token, `\`${short(token.text)}\` is not a number`, [
        "write digits and one decimal point, as in `1500` or `0.5`",
      ]);
    }
    this.#at += 1;
    return { number: token.text, unit: this.#unit(), span: this.#since(token) };
  }

  /** `L`, `%`, `L/min`; empty where the next word is one of ours. */
  #unit(): string {
    const first = this.#now();
    if (first.kind !== "word" || KEYWORDS.has(first.text)) return "";
    this.#at += 1;
    while (this.#now().kind === "/" && this.#tokens[this.#at + 1]?.kind === "word") this.#at += 2;
    return this.#text.slice(first.start, this.#tokens[this.#at - 1]!.end);
  }

  #name(wanted: string): NameSyntax {
    const token = this.#now();
    if (token.kind !== "word" || KEYWORDS.has(token.text)) this.#expected(wanted);
    this.#at += 1;
    return { text: token.text, span: this.#place(token.start, token.end) };
  }

  /** A method, because a property would be narrowed across a call that moves on. */
  #now(): Token {
    return this.#tokens[this.#at]!;
  }

  #isWord(text: string): boolean {
    return this.#now().kind === "word" && this.#now().text === text;
  }

  #since(start: Token): Span {
    return this.#place(start.start, this.#tokens[this.#at - 1]!.end);
  }

  #deeper<T>(inside: () => T): T {
    this.#depth += 1;
    if (this.#depth > DEEPEST_CONDITION) {
      throw new Complaint(
        CONDITION_TOO_DEEP,
        this.#now(),
        `more than ${DEEPEST_CONDITION} levels of parentheses stand inside each other`,
        ["give a part a name under `conditions`"],
      );
    }
    const result = inside();
    this.#depth -= 1;
    return result;
  }

  #expected(wanted: string): never {
    const token = this.#now();
    const found = token.kind === "end" ? "the condition ends" : `\`${short(token.text)}\` stands`;
    this.#fail(token, `${found} where ${wanted} belongs`, helpFor(token));
  }

  #unexpected(where: string): never {
    const token = this.#now();
    if (token.kind === "end")
      this.#fail(token, `the condition ends ${where}`, ["finish it, such as `breaker is open`"]);
    this.#fail(token, `\`${short(token.text)}\` makes no sense ${where}`, helpFor(token));
  }

  /** At the last word where the text ends before what is missing. */
  #fail(token: Token, message: string, help: readonly string[]): never {
    const last = this.#tokens[this.#at - 1] ?? token;
    throw new Complaint(CONDITION_SYNTAX, token.kind === "end" ? last : token, message, help);
  }
}

function helpFor(token: Token): readonly string[] {
  const lower = token.text.toLowerCase();
  if (token.text !== lower && KEYWORDS.has(lower)) return [`write \`${lower}\``];
  if (token.text === ",") return ["join conditions with `and` or `or`, and states with `/`: `start-key is off/run`"];
  return ["a condition is such as `breaker is open`, `day-tank.port >= 100 L`, `all cooling-pump is off`"];
}

const NUMBER = /^[+-]?[0-9]+(\.[0-9]+)?$/;

/** Words with a meaning of their own, which no thing can be called by in a condition. */
export const KEYWORDS: ReadonlySet<string> = new Set([
  "and",
  "or",
  "not",
  "is",
  "all",
  "any",
  "for",
  "within",
  "of",
  "checked",
  "done",
  "recorded",
]);

const OPERATORS: ReadonlyMap<string, "<" | "<=" | "=" | "!=" | ">=" | ">"> = new Map([
  ["<", "<"],
  ["<=", "<="],
  ["≤", "<="],
  ["=", "="],
  ["!=", "!="],
  ["≠", "!="],
  [">=", ">="],
  ["≥", ">="],
  [">", ">"],
]);

const MISWRITTEN: ReadonlyMap<string, string> = new Map([
  ["==", "="],
  ["=<", "<="],
  ["=>", ">="],
  ["<>", "!="],
]);

const JOINERS: ReadonlyMap<string, string> = new Map([
  ["&&", "and"],
  ["||", "or"],
]);
