import { wrapped } from "../frame.js";
import { harmless, padded, widthOf } from "../width.js";

const GAP = 2;
const NARROWEST = 8;

/** Rows under their headings, in columns that together take no more than `columns`; what is too long is wrapped. */
export function table(headings: readonly string[], rows: readonly (readonly string[])[], columns: number): string[] {
  const cells = [headings, ...rows].map((row) => row.map(harmless));
  const widths = fitted(
    headings.map((_, index) => Math.max(...cells.map((row) => widthOf(row[index] ?? "")))),
    columns,
  );
  const rule = widths.map((width) => "-".repeat(width)).join(" ".repeat(GAP));
  const [head, ...body] = cells.map((row) => rowLines(row, widths));
  return [...head!, rule, ...body.flat()];
}

/** Narrows the widest column until all fit. */
function fitted(natural: readonly number[], columns: number): readonly number[] {
  const widths = [...natural];
  const room = columns - GAP * (widths.length - 1);
  while (widths.reduce((sum, width) => sum + width, 0) > room) {
    const widest = widths.indexOf(Math.max(...widths));
    if (widths[widest]! <= NARROWEST) break;
    widths[widest]! -= 1;
  }
  return widths;
}

function rowLines(row: readonly string[], widths: readonly number[]): string[] {
  const parts = widths.map((width, index) => wrapped(row[index] ?? "", width).flatMap((line) => cut(line, width)));
  const height = Math.max(1, ...parts.map((lines) => lines.length));
  return Array.from({ length: height }, (_, line) =>
    widths
      .map((width, index) => padded(parts[index]![line] ?? "", width))
      .join(" ".repeat(GAP))
      .trimEnd(),
  );
}

/** A word that is longer than its column goes on in the next line. */
function cut(text: string, width: number): string[] {
  const lines: string[] = [];
  let line = "";
  for (const character of text) {
    if (widthOf(line + character) > width) {
      lines.push(line);
      line = "";
    }
    line += character;
  }
  return [...lines, line];
}
