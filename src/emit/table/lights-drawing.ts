import type { Procedure } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";
import type { Lamp } from "../card/content.js";
import { type Frame, framed, roomInside, type Sheet } from "../drawing/frame.js";
import { type Drawing, INK, line, type Mark, QUIET } from "../drawing/marks.js";
import type { Measure } from "../drawing/measure.js";
import { type SvgOptions, svgOf } from "../drawing/svg.js";
import { wrap } from "../drawing/wrap.js";
import { revisionOf } from "../flowchart/frame.js";
import { LAMPS } from "../layout/lamp.js";
import { speaker } from "../layout/signs.js";
import { type LightColumn, type LightState, type LightTable, lightTable } from "./lights.js";

export interface LightTableOptions extends SvgOptions {
  readonly measure: Measure;
  /** Type size in points; 10 where not given. */
  readonly size?: number;
  /** DRAFT goes across it. */
  readonly draft?: boolean;
  readonly cautions: readonly string[];
}

/** The light table of a procedure as SVG; undefined where it looks at no lights. */
export function lightTableSvg(program: Program, procedure: Procedure, options: LightTableOptions): string | undefined {
  const table = lightTable(program, procedure);
  if (table.rows.length === 0) return undefined;
  const frame = frameOf(procedure, table, options);
  return svgOf(framed(frame, picture(table, gridOf(options, table))), options);
}

/** The same on sheets of one size; no sheet where it looks at no lights. */
export function lightTablePages(
  program: Program,
  procedure: Procedure,
  options: LightTableOptions & { readonly paper: Sheet },
): readonly Drawing[] {
  const table = lightTable(program, procedure);
  const frame = { ...frameOf(procedure, table, options), paper: options.paper };
  const room = roomInside({ ...frame, subtitle: `${frame.subtitle} · sheet 88 of 88` });
  const parts = partsOf(table, gridOf(options, table), room);
  return parts.map((part, index) => {
    const sheet = parts.length > 1 ? ` · sheet ${index + 1} of ${parts.length}` : "";
    const named = { ...frame, id: `${frame.id}-${index + 1}`, subtitle: `${frame.subtitle}${sheet}` };
    return framed(named, picture(part, gridOf(options, part)));
  });
}

function frameOf(procedure: Procedure, table: LightTable, options: LightTableOptions): Frame {
  return {
    id: `light-table-${procedure.id}`,
    title: procedure.title,
    subtitle: `Light table · ${revisionOf(procedure)}`,
    description: `Which of ${table.rows.length} lights must be lit and which out at each of ${table.columns.length} looks in ${procedure.title}.`,
    keys: [
      "Signs: a lamp with its colour's letter: lit; a stroke: out; empty: not looked at. Numbers are those of the lines.",
    ],
    cautions: options.cautions,
    ...(options.draft ? { draft: true } : {}),
    measure: options.measure,
    size: options.size ?? 10,
  };
}

/** Lengths of a table in points. */
interface TableGrid {
  readonly measure: Measure;
  readonly size: number;
  readonly names: number;
  readonly column: number;
  readonly row: number;
  readonly head: number;
}

function gridOf({ measure, size = 10 }: LightTableOptions, table: LightTable): TableGrid {
  const names =
    Math.max(...table.rows.map((lamp) => measure.width(nameOf(lamp), "regular", size)), 5 * size) + 1.2 * size;
  const column = 7.5 * size;
  const lines = Math.max(...table.columns.map((one) => headLines(one, column, size, measure).length), 1);
  return { measure, size, names, column, row: 1.75 * size, head: lines * 1.25 * size + 0.8 * size };
}

function nameOf(lamp: Lamp): string {
  return `${lamp.label}${lamp.sound ? " sounds" : ""}${lamp.only ? ` (${lamp.only})` : ""}`;
}

/** As many columns as the sheet is wide, and as many rows as it is high. */
function partsOf(
  table: LightTable,
  grid: TableGrid,
  room: { readonly width: number; readonly height: number },
): readonly LightTable[] {
  if (table.rows.length === 0) return [];
  const wide = Math.max(1, Math.floor((room.width - grid.names) / grid.column));
  const high = Math.max(1, Math.floor((room.height - grid.head) / grid.row) - 1);
  const parts: LightTable[] = [];
  for (let column = 0; column < table.columns.length; column += wide) {
    for (let row = 0; row < table.rows.length; row += high) {
      const rows = table.rows.slice(row, row + high);
      const columns = table.columns.slice(column, column + wide);
      parts.push({ rows, columns: columns.map((one) => ({ ...one, states: one.states.slice(row, row + high) })) });
    }
  }
  return parts;
}

function picture(
  table: LightTable,
  grid: TableGrid,
): { readonly marks: readonly Mark[]; readonly width: number; readonly height: number } {
  const width = grid.names + table.columns.length * grid.column;
  const height = grid.head + (table.rows.length + 1) * grid.row;
  const marks = [
    ...table.columns.flatMap((column, index) => headMarks(column, grid.names + index * grid.column, grid)),
    ...table.rows.flatMap((lamp, index) => rowMarks(table, lamp, index, grid, width)),
    ...countMarks(table, grid),
    ...table.columns.map((_, index) => edge(grid.names + index * grid.column, height, isNewStep(table, index))),
    level(0, grid.head, width, 0.1 * grid.size),
    level(0, height - grid.row, width, 0.1 * grid.size),
  ];
  return { marks, width, height };
}

/** A heavier edge where another step begins; cases of one step stand close. */
function isNewStep(table: LightTable, index: number): boolean {
  return table.columns[index - 1]?.number !== table.columns[index]?.number;
}

function edge(x: number, height: number, heavy: boolean): Mark {
  return line(
    [
      { x, y: 0 },
      { x, y: height },
    ],
    { stroke: heavy ? INK : QUIET, weight: heavy ? 0.9 : 0.3 },
  );
}

function level(x: number, y: number, width: number, weight: number): Mark {
  return line(
    [
      { x, y },
      { x: x + width, y },
    ],
    { stroke: INK, weight },
  );
}

interface HeadLine {
  readonly text: string;
  readonly face: "bold" | "regular" | "italic";
}

function headLines(column: LightColumn, width: number, size: number, measure: Measure): readonly HeadLine[] {
  const room = width - 0.8 * size;
  const lines = (text: string, face: HeadLine["face"]) =>
    wrap(text, room, { face, size }, measure).map((one) => ({ text: one, face }));
  return [...lines(column.number, "bold"), ...lines(column.title, "regular"), ...lines(column.case, "italic")];
}

function headMarks(column: LightColumn, x: number, grid: TableGrid): readonly Mark[] {
  return headLines(column, grid.column, grid.size, grid.measure).map(
    ({ text, face }, index): Mark => ({
      kind: "text",
      x: x + 0.4 * grid.size,
      y: (1 + index * 1.25) * grid.size,
      text,
      face,
      size: grid.size,
      anchor: "start",
      fill: INK,
    }),
  );
}

function rowMarks(table: LightTable, lamp: Lamp, index: number, grid: TableGrid, width: number): readonly Mark[] {
  const y = grid.head + index * grid.row;
  const middle = y + grid.row / 2;
  const name: Mark = {
    kind: "text",
    x: 0,
    y: middle + 0.36 * grid.size,
    text: nameOf(lamp),
    face: "regular",
    size: grid.size,
    anchor: "start",
    fill: INK,
  };
  const cells = table.columns.map((column, at): Mark => {
    const x = grid.names + (at + 0.5) * grid.column;
    const state = column.states[index] ?? "unseen";
    return {
      kind: "group",
      title: `${nameOf(lamp)}, line ${column.number}: ${WORDS[state]}`,
      marks: cellMarks(lamp, state, x, middle, grid),
    };
  });
  return [...(index > 0 ? [level(0, y, width, 0.03 * grid.size)] : []), name, ...cells];
}

const WORDS: Readonly<Record<LightState, string>> = { lit: "lit", out: "out", unseen: "not looked at" };

function cellMarks(lamp: Lamp, state: LightState, x: number, y: number, grid: TableGrid): readonly Mark[] {
  if (state === "unseen") return [];
  const size = 1.35 * grid.size;
  if (state === "out") {
    return [
      line(
        [
          { x: x - 0.25 * size, y },
          { x: x + 0.25 * size, y },
        ],
        { stroke: INK, weight: 0.12 * grid.size },
      ),
    ];
  }
  if (lamp.sound) return speaker(x, y, size);
  const { fill, letter } = lamp.colour ? LAMPS[lamp.colour] : { fill: "#ffffff", letter: INK };
  return [
    { kind: "circle", x, y, radius: size / 2, fill, stroke: INK, weight: 0.09 * grid.size },
    {
      kind: "text",
      x,
      y: y + 0.3 * grid.size,
      text: lamp.colour?.charAt(0).toUpperCase() ?? "?",
      face: "bold",
      size: 0.85 * grid.size,
      anchor: "middle",
      fill: letter,
    },
  ];
}

/** Under each column how many of each colour are lit. */
function countMarks(table: LightTable, grid: TableGrid): readonly Mark[] {
  const y = grid.head + table.rows.length * grid.row + grid.row / 2 + 0.36 * grid.size;
  const text = (x: number, words: string, face: HeadLine["face"]): Mark => ({
    kind: "text",
    x,
    y,
    text: words,
    face,
    size: grid.size,
    anchor: "start",
    fill: INK,
  });
  const totals = table.columns.map((column, index) => {
    const words = column.counts.map(({ colour, number }) => `${number} ${colour.charAt(0).toUpperCase()}`).join(", ");
    return text(grid.names + index * grid.column + 0.4 * grid.size, words || "none", "bold");
  });
  return [text(0, "Lit in all", "bold"), ...totals];
}
