import type { Edit } from "../../diagnostics/finding.js";
import type { SourceFile, Span } from "../../source/file.js";
import { quoted } from "./quote.js";

/** Unquoted text as its author most likely meant it to reach: to the end of the line, or inside brackets to the next comma or bracket. */
export function meantText(file: SourceFile, start: number, inBrackets: boolean): Span {
  const line = file.text.slice(start, lineEnd(file.text, start));
  const closing = inBrackets ? line.search(/[,\]}]/) : -1;
  const text = closing < 0 ? line : line.slice(0, closing);
  return { file, start, end: start + text.trimEnd().length };
}

/** The offset at which the line of an offset ends, without its CR. */
export function lineEnd(text: string, offset: number): number {
  const newline = text.indexOf("\n", offset);
  const end = newline < 0 ? text.length : newline;
  return text[end - 1] === "\r" && end > offset ? end - 1 : end;
}

/** Letters of a text that a message repeats. */
const LONGEST_QUOTE = 200;

/** The text of a span, folded to one line and cut where it is too long for a message. */
export function onOneLine({ file, start, end }: Span): string {
  const text = file.text.slice(start, Math.min(end, start + LONGEST_QUOTE));
  const line = text.replace(/\s+/g, " ").trim();
  return end - start > LONGEST_QUOTE ? `${line}...` : line;
}

/** A way out: the text of a span in quotes, as words and as an edit. `text` where it is not simply what stands there. */
export function inQuotes(
  at: Span,
  text: string = onOneLine(at),
): { readonly words: string; readonly edits: readonly Edit[] } {
  if (at.end - at.start > LONGEST_QUOTE) return { words: "put it in quotes, all of it", edits: [] };
  return { words: `put it in quotes, all of it: \`${quoted(text)}\``, edits: [{ at, text: quoted(text) }] };
}
