import type { Lamp } from "../card/content.js";
import { INK, line, type Mark, QUIET } from "../drawing/marks.js";
import type { Measure } from "../drawing/measure.js";
import { wrap } from "../drawing/wrap.js";
import { LAMPS } from "../layout/lamp.js";
import { speaker } from "../layout/signs.js";
import type { LightColumn, LightState, LightTable } from "./lights.js";

/** Lengths of a table in points. */
export interface TableGrid {
  readonly measure: Measure;
  readonly size: number;
  readonly names: number;
  readonly column: number;
  readonly row: number;
  readonly head: number;
  /** Of the row of counts. */
  readonly foot: number;
}

export function nameOf(lamp: Lamp): string {
  return `${lamp.label}${lamp.sound ? " sounds" : ""}${lamp.only ? ` (${lamp.only})` : ""}`;
}

export function picture(
  table: LightTable,
  grid: TableGrid,
): { readonly marks: readonly Mark[]; readonly width: number; readonly height: number } {
  const width = grid.names + table.columns.length * grid.column;
  const height = grid.head + table.rows.length * grid.row + grid.foot;
  const marks = [
    ...table.columns.flatMap((column, index) => headMarks(column, grid.names + index * grid.column, grid)),
    ...table.rows.flatMap((lamp, index) => rowMarks(table, lamp, index, grid, width)),
    ...countMarks(table, grid),
    ...table.columns.map((_, index) => edge(grid.names + index * grid.column, height, isNewStep(table, index))),
    level(0, grid.head, width, 0.1 * grid.size),
    level(0, height - grid.foot, width, 0.1 * grid.size),
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

export function headLines(column: LightColumn, width: number, size: number, measure: Measure): readonly HeadLine[] {
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
  const text = (x: number, words: string, face: HeadLine["face"], at = 0): Mark => ({
    kind: "text",
    x,
    y: y + at * 1.25 * grid.size,
    text: words,
    face,
    size: grid.size,
    anchor: "start",
    fill: INK,
  });
  const totals = table.columns.flatMap((column, index) =>
    countLines(column, grid.column, grid).map((words, at) =>
      text(grid.names + index * grid.column + 0.4 * grid.size, words, "bold", at),
    ),
  );
  return [text(0, "Lit in all", "bold"), ...totals];
}

/** On one line where there is room, else one colour under the other. */
export function countLines(
  { counts }: LightColumn,
  width: number,
  { measure, size }: Pick<TableGrid, "measure" | "size">,
): readonly string[] {
  if (counts.length === 0) return ["none"];
  const words = counts.map(({ colour, number }) => `${number} ${colour.charAt(0).toUpperCase()}`);
  const row = words.join(", ");
  return measure.width(row, "bold", size) <= width - 0.8 * size ? [row] : words;
}
