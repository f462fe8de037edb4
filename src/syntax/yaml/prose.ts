import type { Finding, FindingKind } from "../../diagnostics/finding.js";
import { finding } from "../../diagnostics/finding.js";
import type { SourceFile } from "../../source/file.js";
import { withSteps } from "../examples.js";
import { firstOf } from "../limits.js";
import type { Lexeme } from "./lexemes.js";
import { inQuotes, meantText } from "./rest.js";
import { type Seen, scan } from "./scan.js";

export const COMMENT_EATS_TEXT: FindingKind = {
  code: "yaml/comment-eats-text",
  severity: "error",
  summary: "A `#` in unquoted text begins a comment: the rest of the line is lost.",
  why: "`say: Pump #2 clear` prints `Pump`. A card that says less than its author wrote is worse than none.",
  bad: withSteps("  - set: { pump: on }\n    note: Pump #2 is on the port side.\n"),
  good: withSteps('  - set: { pump: on }\n    note: "Pump #2 is on the port side."\n'),
};

export const COLON_ENDS_TEXT: FindingKind = {
  code: "yaml/colon-ends-text",
  severity: "error",
  summary: "A colon and a space in unquoted text begin a new value.",
  why: "YAML takes the words before the colon for a key, so the text is not what its author wrote.",
  bad: withSteps("  - set: { pump: on }\n    note: Mind: it starts at once.\n"),
  good: withSteps('  - set: { pump: on }\n    note: "Mind: it starts at once."\n'),
};

/** Text that a comment mark cuts off. */
export function checkComments(file: SourceFile, tokens: readonly Lexeme[]): Finding[] {
  return firstOf(found(tokens, eatsText)).map((seen) => commentEatsText(file, seen));
}

/** Text that a colon cuts in two. */
export function checkColons(file: SourceFile, tokens: readonly Lexeme[]): Finding[] {
  return firstOf(found(tokens, endsText)).map((seen) => colonEndsText(file, seen));
}

function* found(tokens: readonly Lexeme[], isWanted: (seen: Seen) => boolean): Generator<Seen> {
  for (const seen of scan(tokens)) if (isWanted(seen)) yield seen;
}

/**
 * A comment has a space after its mark, and two before it where words are before it. One that is written otherwise, beside or below
 * unquoted text, is taken for a part of the text.
 */
function eatsText({ token, before, beforeThat, gap, key, lineStart }: Seen): boolean {
  if (token.type !== "comment" || !before) return false;
  const glued = /^#[^\s#]/.test(token.source);
  if (before.type === "map-value-ind" || before.type === "seq-item-ind") return glued;
  const isProse = key !== undefined && PROSE_KEYS.has(key.text);
  if (isPlainText(before)) return glued || (gap === 1 && isProse);
  const isBelow = before.type === "newline" && beforeThat !== undefined && isPlainText(beforeThat);
  return isBelow && isProse && glued && token.offset - lineStart > key.column;
}

function isPlainText(token: Lexeme): boolean {
  return token.type === "text" && !token.source.endsWith("\n");
}

function commentEatsText(file: SourceFile, { token, before, beforeThat, inBrackets }: Seen): Finding {
  const text = [before, beforeThat].find((earlier) => earlier !== undefined && isPlainText(earlier));
  const isBare = before?.type === "map-value-ind" || before?.type === "seq-item-ind";
  const start = isBare || !text ? token.offset : text.offset;
  const meant = { ...meantText(file, token.offset, inBrackets), start };
  const left = isBare || !text ? "nothing is left" : `the text ends at \`${lastWords(text.source)}\``;
  const { words, edits } = inQuotes(meant);
  const at = { file, start: token.offset, end: meant.end };
  return finding(COMMENT_EATS_TEXT, at, `\`#\` begins a comment here: ${left}`, {
    help: [`if it belongs to the text, ${words}`, "if it is a comment, put two spaces before the `#` and one after it"],
    edits,
  });
}

function lastWords(text: string): string {
  const line = text.slice(-100).replace(/\s+/g, " ").trim();
  return line.length > 30 ? `...${line.slice(-27)}` : line;
}

/** `key: some text: more`. */
function endsText({ token, before, beforeThat }: Seen): boolean {
  return (
    token.type === "map-value-ind" &&
    before?.type === "text" &&
    isPlainText(before) &&
    beforeThat?.type === "map-value-ind"
  );
}

function colonEndsText(file: SourceFile, { token, before, inBrackets }: Seen): Finding {
  const meant = { ...meantText(file, token.offset, inBrackets), start: before!.offset };
  const { words, edits } = inQuotes(meant);
  const line = before!.source.lastIndexOf("\n") + 1;
  if (line === 0) {
    const at = { file, start: token.offset, end: token.offset + 1 };
    const message = "a second colon stands on this line, so YAML takes the words before it for a key";
    return finding(COLON_ENDS_TEXT, at, message, { help: [words], edits });
  }
  const indented = before!.source.slice(line);
  const start = before!.offset + line + (indented.length - indented.trimStart().length);
  const message = "this line goes on with the text above it, because it stands further in, and yet it has a colon";
  return finding(COLON_ENDS_TEXT, { file, start, end: token.offset + 1 }, message, {
    help: ["if it is a key, begin it in the column of the key above", `if it is text, ${words}`],
    edits,
  });
}

/** Keys whose value is words for people. */
const PROSE_KEYS: ReadonlySet<string> = new Set([
  "title",
  "summary",
  "says",
  "because",
  "source",
  "use-when",
  "starts-on",
  "by",
  "label",
  "shown",
  "area",
  "say",
  "do",
  "section",
  "note",
  "warning",
  "caution",
  "words",
  "challenge",
  "response",
  "finish",
  "set-aside",
  "pause",
  "sign",
  "released-by",
  "of",
  "added",
  "moved",
]);
