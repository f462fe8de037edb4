import type { SourceFile, Span } from "../../source/file.js";

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

/** The text of a span, folded to one line. */
export function onOneLine(span: Span): string {
  return span.file.text.slice(span.start, span.end).replace(/\s+/g, " ").trim();
}
