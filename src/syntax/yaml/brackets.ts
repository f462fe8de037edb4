import type { Finding, FindingKind } from "../../diagnostics/finding.js";
import { finding } from "../../diagnostics/finding.js";
import type { SourceFile, Span } from "../../source/file.js";
import { withSteps } from "../examples.js";
import type { Lexeme } from "./lexemes.js";

export const UNCLOSED: FindingKind = {
  code: "yaml/unclosed",
  severity: "error",
  summary: "A bracket or a quote is opened and not closed, or closed and not opened.",
  why: "Everything up to the end of the file may belong to it.",
  bad: withSteps("  - set: { pump: on\n    note: It hums.\n"),
  good: withSteps("  - set: { pump: on }\n    note: It hums.\n"),
};

/** Brackets and quotes without their other half; the first only, as it moves the meaning of all that follows. */
export function checkBrackets(file: SourceFile, tokens: readonly Lexeme[]): Finding[] {
  const open: Lexeme[] = [];
  for (const token of tokens) {
    const found = visit(file, token, open);
    if (found) return [found];
  }
  const left = open.at(-1);
  return left ? [neverClosed(file, left)] : [];
}

const PAIRS: ReadonlyMap<string, string> = new Map([
  ["{", "}"],
  ["[", "]"],
]);

function visit(file: SourceFile, token: Lexeme, open: Lexeme[]): Finding | undefined {
  switch (token.type) {
    case "flow-map-start":
    case "flow-seq-start":
      open.push(token);
      return undefined;
    case "flow-map-end":
    case "flow-seq-end":
      return closed(file, token, open.pop());
    case "flow-error-end":
      return open.length > 0 ? neverClosed(file, open.at(-1)!) : undefined;
    case "single-quoted-scalar":
    case "double-quoted-scalar":
      return endsWithQuote(token) ? undefined : neverClosed(file, { ...token, source: token.source.slice(0, 1) });
    default:
      return undefined;
  }
}

function closed(file: SourceFile, token: Lexeme, opening: Lexeme | undefined): Finding | undefined {
  if (!opening)
    return finding(UNCLOSED, spanOf(file, token), `this \`${token.source}\` closes nothing`, { help: ["delete it"] });
  const wanted = PAIRS.get(opening.source);
  if (wanted === token.source) return undefined;
  return finding(UNCLOSED, spanOf(file, token), `\`${token.source}\` stands where \`${wanted}\` belongs`, {
    labels: [{ at: spanOf(file, opening), text: "opened here" }],
    help: [`write \`${wanted}\``],
  });
}

function neverClosed(file: SourceFile, opening: Lexeme): Finding {
  const closing = PAIRS.get(opening.source) ?? opening.source;
  return finding(UNCLOSED, spanOf(file, opening), `this \`${opening.source}\` is never closed`, {
    help: [`add the \`${closing}\``],
  });
}

/** The library cuts a quoted text at its closing quote, or far away where there is none. */
function endsWithQuote({ source }: Lexeme): boolean {
  const quote = source.charAt(0);
  if (source.length < 2 || !source.endsWith(quote)) return false;
  const backslashes = quote === '"' ? /\\*$/.exec(source.slice(0, -1))![0].length : 0;
  return backslashes % 2 === 0;
}

function spanOf(file: SourceFile, token: Lexeme): Span {
  return { file, start: token.offset, end: token.offset + token.source.length };
}
