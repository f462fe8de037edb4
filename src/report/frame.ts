import type { Finding, Label } from "../diagnostics/finding.js";
import type { Span } from "../source/file.js";
import { linesOf } from "../source/lines.js";
import type { Paint } from "./paint.js";
import { type Cell, cellsOf, harmless, widthOf } from "./width.js";

/**
 * The source lines that a finding points at, each under its place, with the remarks under them: carets for the finding's
 * own place, dashes for the others. `columns` is the width to draw for; longer lines are cut around what they show.
 */
export function frames(finding: Finding, paint: Paint, { columns, base }: FrameOptions): string[] {
  const marks = marksOf(finding);
  const gutter = Math.max(...marks.map((mark) => String(mark.line).length));
  const lines: string[] = [];
  for (const [index, mark] of marks.entries()) {
    const before = marks[index - 1];
    const newLine = !before || before.at.file !== mark.at.file || before.line !== mark.line;
    const view = viewOf(mark, marks, columns - gutter - 3);
    if (newLine) lines.push(...head(mark, view, gutter, paint, base));
    lines.push(...underline(mark, view, gutter, paint, columns));
  }
  return lines;
}

export interface FrameOptions {
  readonly columns: number;
  /** Stands before every path. */
  readonly base: string;
}

interface Mark {
  readonly at: Span;
  readonly text: string;
  readonly primary: boolean;
  readonly line: number;
  readonly column: number;
  readonly severity: Finding["severity"];
}

/** The part of a line that is shown. */
interface View {
  readonly cells: readonly Cell[];
  readonly cutBefore: boolean;
  readonly cutAfter: boolean;
}

const CUT = "...";

/** The finding's own place first; marks on one line of one file stand together, by column. */
function marksOf(finding: Finding): Mark[] {
  const own = toMark({ at: finding.at, text: finding.remark ?? "" }, true, finding.severity);
  const others = finding.labels.map((label) => toMark(label, false, finding.severity));
  const groups: Mark[][] = [];
  for (const mark of [own, ...others]) {
    const group = groups.find(([first]) => first!.at.file === mark.at.file && first!.line === mark.line);
    if (group) group.push(mark);
    else groups.push([mark]);
  }
  return groups.flat();
}

function toMark({ at, text }: Label, primary: boolean, severity: Finding["severity"]): Mark {
  const { line, column } = linesOf(at.file).place(at.start);
  return { at, text: harmless(text), primary, line, column, severity };
}

function head(mark: Mark, view: View, gutter: number, paint: Paint, base: string): string[] {
  const place = `${" ".repeat(gutter + 1)}${harmless(base + mark.at.file.path)}:${mark.line}:${mark.column}`;
  const source = `${view.cutBefore ? CUT : ""}${view.cells.map(({ text }) => text).join("")}${view.cutAfter ? CUT : ""}`;
  return [paint.dim(place), `${paint.dim(`${String(mark.line).padStart(gutter)} |`)} ${source.trimEnd()}`.trimEnd()];
}

/** The whole line if it has room; else a window that begins where the leftmost mark of the line can be seen. */
function viewOf(mark: Mark, marks: readonly Mark[], room: number): View {
  const cells = cellsOf(linesOf(mark.at.file).text(mark.line));
  const same = marks.filter((other) => other.at.file === mark.at.file && other.line === mark.line);
  if (total(cells) <= room) return { cells, cutBefore: false, cutAfter: false };
  const leftmost = Math.min(...same.map(({ column }) => column - 1));
  const index = Math.max(
    0,
    cells.findIndex(({ offset }) => offset >= leftmost),
  );
  const from = total(cells.slice(0, index)) < room / 2 ? 0 : Math.max(0, index - 8);
  return windowFrom(cells, from, Math.max(20, room - 2 * CUT.length));
}

function windowFrom(cells: readonly Cell[], from: number, room: number): View {
  let to = from;
  for (let width = 0; to < cells.length && width + cells[to]!.width <= room; to += 1) width += cells[to]!.width;
  return { cells: cells.slice(from, to), cutBefore: from > 0, cutAfter: to < cells.length };
}

function underline(mark: Mark, view: View, gutter: number, paint: Paint, columns: number): string[] {
  const start = mark.column - 1;
  const end = start + Math.max(1, mark.at.end - mark.at.start);
  const indent = (view.cutBefore ? CUT.length : 0) + total(view.cells.filter(({ offset }) => offset < start));
  const length = Math.max(1, total(view.cells.filter(({ offset }) => offset >= start && offset < end)));
  const rule = (mark.primary ? "^" : "-").repeat(length);
  const ink = mark.primary ? (text: string) => paint.severity(mark.severity, text) : paint.second;
  const margin = `${" ".repeat(gutter)} ${paint.dim("|")} ${" ".repeat(indent)}`;
  if (mark.text === "") return [margin + ink(rule)];
  if (gutter + 4 + indent + length + widthOf(mark.text) <= columns) return [`${margin}${ink(`${rule} ${mark.text}`)}`];
  return [
    margin + ink(rule),
    ...wrapped(mark.text, Math.max(30, columns - gutter - 3 - indent)).map((line) => margin + ink(line)),
  ];
}

function total(cells: readonly Cell[]): number {
  return cells.reduce((sum, { width }) => sum + width, 0);
}

/** Broken at spaces to at most `room` columns; a longer word stands alone. */
export function wrapped(text: string, room: number): string[] {
  const lines: string[] = [];
  let line = "";
  for (const word of text.split(/\s+/)) {
    if (line !== "" && widthOf(line) + 1 + widthOf(word) > room) {
      lines.push(line);
      line = word;
    } else line = line === "" ? word : `${line} ${word}`;
  }
  return line === "" ? lines : [...lines, line];
}
