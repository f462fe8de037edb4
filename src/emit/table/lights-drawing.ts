import type { Procedure } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";
import { type Frame, framed, roomInside, type Sheet } from "../drawing/frame.js";
import type { Drawing } from "../drawing/marks.js";
import type { Measure } from "../drawing/measure.js";
import { type SvgOptions, svgOf } from "../drawing/svg.js";
import { revisionOf } from "../flowchart/frame.js";
import { type LightTable, lightTable } from "./lights.js";
import { countLines, headLines, nameOf, picture, type TableGrid } from "./lights-picture.js";

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
  const grid = sharedOut(table, gridOf(options, table), room.width);
  const parts = partsOf(table, grid, room);
  return parts.map((part, index) => {
    const sheet = parts.length > 1 ? ` · sheet ${index + 1} of ${parts.length}` : "";
    const named = { ...frame, id: `${frame.id}-${index + 1}`, subtitle: `${frame.subtitle}${sheet}` };
    return framed(named, picture(part, grid));
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

function gridOf({ measure, size = 10 }: LightTableOptions, table: LightTable): TableGrid {
  const names =
    Math.max(...table.rows.map((lamp) => measure.width(nameOf(lamp), "regular", size)), 5 * size) + 1.2 * size;
  return withColumns(table, { measure, size, names, column: 0, row: 1.75 * size, head: 0, foot: 0 }, 7.5 * size);
}

function withColumns(table: LightTable, grid: TableGrid, column: number): TableGrid {
  const { size, measure } = grid;
  const lines = Math.max(...table.columns.map((one) => headLines(one, column, size, measure).length), 1);
  const counts = Math.max(...table.columns.map((one) => countLines(one, column, grid).length), 1);
  const foot = grid.row + (counts - 1) * 1.25 * size;
  return { ...grid, column, head: lines * 1.25 * size + 0.8 * size, foot };
}

/** As few sheets as the narrowest columns allow, as many columns on each as on the others, and those no narrower than they must be. */
function sharedOut(table: LightTable, grid: TableGrid, width: number): TableGrid {
  const room = width - grid.names;
  const least = Math.min(grid.column, leastColumn(table, grid));
  const sheets = Math.ceil(table.columns.length / Math.max(1, Math.floor(room / least)));
  const each = Math.ceil(table.columns.length / Math.max(1, sheets));
  return withColumns(table, grid, Math.max(least, Math.min(grid.column, room / Math.max(1, each))));
}

/** Takes the longest word of a heading, on four lines or so, and the longest count of one colour. */
function leastColumn(table: LightTable, { measure, size }: TableGrid): number {
  const widths = table.columns.flatMap((column) => [
    ...`${column.number} ${column.title} ${column.case}`.split(" ").map((word) => measure.width(word, "bold", size)),
    measure.width(column.title, "regular", size) / 3,
    measure.width(column.case, "italic", size) / 4,
    ...countLines(column, 0, { measure, size }).map((words) => measure.width(words, "bold", size)),
  ]);
  return Math.max(...widths, 3 * size) + 0.8 * size;
}

/** As many columns as the sheet is wide, and as many of the rows that they look at as it is high. */
function partsOf(
  table: LightTable,
  grid: TableGrid,
  room: { readonly width: number; readonly height: number },
): readonly LightTable[] {
  if (table.rows.length === 0) return [];
  const fitting = Math.max(1, Math.floor((room.width - grid.names) / grid.column + 1e-6));
  const wide = Math.ceil(table.columns.length / Math.ceil(table.columns.length / fitting));
  const high = Math.max(1, Math.floor((room.height - grid.head - grid.foot) / grid.row));
  const parts: LightTable[] = [];
  for (let column = 0; column < table.columns.length; column += wide) {
    const some = lookedAt({ ...table, columns: table.columns.slice(column, column + wide) });
    for (let row = 0; row < some.rows.length; row += high) {
      const columns = some.columns.map((one) => ({ ...one, states: one.states.slice(row, row + high) }));
      parts.push({ ...some, rows: some.rows.slice(row, row + high), columns });
    }
  }
  return parts;
}

/** Without the rows at which none of the columns looks. */
function lookedAt(table: LightTable): LightTable {
  const kept = table.rows.map((_, row) => table.columns.some(({ states }) => (states[row] ?? "unseen") !== "unseen"));
  return {
    ...table,
    rows: table.rows.filter((_, row) => kept[row]),
    columns: table.columns.map((one) => ({ ...one, states: one.states.filter((_, row) => kept[row]) })),
  };
}
