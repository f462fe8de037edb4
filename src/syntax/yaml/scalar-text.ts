import { quoted } from "./quote.js";

/**
 * A text as a scalar on one line that reads back as the same text: as it is where that is safe, else in double quotes. `inBrackets`: within
 * { } or [ ], where commas and brackets end a text.
 */
export function scalarOnOneLine(text: string, inBrackets: boolean): string {
  return isSafePlain(text, inBrackets) ? text : quoted(text);
}

/** Begins like something else, holds what ends a text or begins a comment, or is read as nothing. */
const UNSAFE = /^[-?:](\s|$)|^[,[\]{}#&*!|>'"%@`]|^(---|\.\.\.)|: |:$| #|\s$|^\s|^(~|null|Null|NULL|<<)$|^$/;
const UNSAFE_IN_BRACKETS = /[,[\]{}]|^[-?:]/;
/** Letters that a reader of the file cannot see: written as escapes. */
const UNSEEN = /[\p{Cc}\p{Zl}\p{Zp}\u202a-\u202e\u2066-\u2069\ufeff\ufffd]/u;

function isSafePlain(text: string, inBrackets: boolean): boolean {
  return !UNSAFE.test(text) && !UNSEEN.test(text) && !(inBrackets && UNSAFE_IN_BRACKETS.test(text));
}

/** A text of several lines as a block (`|`): its lines, the mark first; undefined where a block would not read back as the same text. */
export function literalLines(text: string): readonly string[] | undefined {
  const ends = text.endsWith("\n");
  const lines = (ends ? text.slice(0, -1) : text).split("\n");
  const readsBack = lines.every((line) => !UNSEEN.test(line) && (line === "" || line.trim() !== ""));
  const isFramed = lines[0] !== "" && lines.at(-1) !== "" && !/^\s/.test(lines[0]!);
  if (lines.length < 2 || !readsBack || !isFramed) return undefined;
  return [ends ? "|" : "|-", ...lines.map((line) => (line === "" ? "" : `  ${line}`))];
}
