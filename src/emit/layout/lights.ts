import type { Count, Lamp, Line } from "../card/content.js";
import { lampMarks, lampSize, lampWords, rowHeight } from "./lamp.js";
import { tableRows } from "./light-table.js";
import { moved } from "./move.js";
import { enclose, NEVER, type Piece, pieces, type Row, WHOLE } from "./piece.js";
import { content, decoration, paragraph, type Said, tickBox } from "./rows.js";
import { baseLine, body, type Column, lineHeight, type Setting } from "./setting.js";
import { type Tag, tag } from "./structure.js";
import { lineWidth, type Word, wordOf, wordsOf } from "./words.js";

type Lights = Extract<Line, { kind: "lights" }>;

/** `around` is who looks and for which ships. A framed block: lamps in columns, or a table with the cases side by side. */
export function lightPieces(
  setting: Setting,
  line: Lights,
  around: readonly Word[],
  column: Column,
  parent: Tag,
  step: string,
): readonly Piece[] {
  const pad = setting.profile.body * 0.45;
  const inner = { x: column.x + pad, width: column.width - 2 * pad };
  const said = { purpose: "text" as const, step, tag: tag(parent, "P") };
  const title = paragraph(
    setting,
    [
      ...wordsOf(setting.measure, line.title, body(setting, "bold")),
      ...wordsOf(setting.measure, "lit:", body(setting)),
      ...around,
    ],
    inner,
    said,
  );
  const rows =
    line.cases.length > 1
      ? tableRows(setting, line, inner, parent, step)
      : listRows(setting, line, inner, parent, step);
  const rest = line.rest
    ? paragraph(setting, wordsOf(setting.measure, line.rest, body(setting)), inner, { ...said, tag: tag(parent, "P") })
    : [];
  const counts = countRows(setting, line, inner, parent, step);
  const high = [...title, ...rows, ...counts, ...rest].reduce((sum, row) => sum + row.height, 0);
  // Lamps are counted: a block that a page can hold, with the line that it belongs to, stays whole.
  const apart = high < setting.height * 0.85 ? WHOLE : 800;
  const made = [
    ...pieces(title, { part: "line", step }),
    ...rows.map((row, index) => ({ ...onePiece(row, step), penalty: index === 0 ? NEVER : apart })),
    ...[...counts, ...rest].map((row, index) => ({
      ...onePiece(row, step),
      penalty: NEVER,
      before: index === 0 ? pad * 0.4 : 0,
    })),
  ];
  return enclose(made, { style: "box", x: column.x, width: column.width, pad });
}

function onePiece(row: Row, step: string): Piece {
  return {
    ...row,
    before: 0,
    after: 0,
    penalty: 0,
    frames: [],
    part: "line",
    step,
    changed: false,
    removedBefore: false,
  };
}

/** As many columns as there is room for, at most four, each as wide as its own names need; read across. */
function listRows(setting: Setting, line: Lights, column: Column, parent: Tag, step: string): readonly Row[] {
  const list = tag(parent, "L");
  const cells = line.lamps.map(({ lamp }) => ({ lamp, words: lampWords(setting, lamp) }));
  const taken = lampSize(setting) + setting.profile.body * (setting.boxes ? 2.6 : 1.4);
  const columns = columnsFor(
    cells.map((cell) => lineWidth(setting.measure, cell.words) + taken),
    column,
  );
  const rows: Row[] = [];
  for (let at = 0; at < cells.length; at += columns.length) {
    const across = cells.slice(at, at + columns.length);
    const made = across.map((cell, index) => lampCell(setting, cell, columns[index] ?? column, list, step));
    rows.push({ height: Math.max(...made.map((row) => row.height)), contents: made.flatMap((row) => row.contents) });
  }
  return rows;
}

/** What is left over is shared out evenly. */
function columnsFor(widths: readonly number[], column: Column): readonly Column[] {
  for (let count = Math.min(4, widths.length); count > 1; count -= 1) {
    const needed = Array.from({ length: count }, (_, index) =>
      Math.max(...widths.filter((_, at) => at % count === index)),
    );
    const free = column.width - needed.reduce((sum, width) => sum + width, 0);
    if (free < 0) continue;
    let x = column.x;
    return needed.map((width) => {
      const made = { x, width: width + free / count };
      x += made.width;
      return made;
    });
  }
  return [column];
}

function lampCell(
  setting: Setting,
  cell: { lamp: Lamp; words: readonly Word[] },
  column: Column,
  list: Tag,
  step: string,
): Row {
  const item = tag(list, "LI");
  const size = lampSize(setting);
  const x = column.x + size + setting.profile.body * 0.5;
  const room = column.width - (x - column.x) - setting.profile.body * (setting.boxes ? 1.6 : 0.4);
  const name = paragraph(
    setting,
    cell.words,
    { x, width: room },
    { tag: tag(item, "LBody"), purpose: "text", step },
    { most: 4 },
  );
  const shift = (rowHeight(setting) - lineHeight(setting)) / 2;
  const middle = rowHeight(setting) / 2;
  const contents = name.flatMap((row, index) =>
    row.contents.map((one) => moved(one, 0, shift + index * lineHeight(setting))),
  );
  const label = { tag: lampTag(item, cell.lamp), purpose: "lamp" as const, step };
  const lamp = content(lampMarks(setting, cell.lamp, column.x + size / 2, middle, size), label);
  const box = setting.boxes
    ? [decoration([tickBox(setting, column.x + column.width - setting.profile.body * 0.5, shift + baseLine(setting))])]
    : [];
  return {
    height: Math.max(rowHeight(setting), name.length * lineHeight(setting)),
    contents: [lamp, ...contents, ...box],
  };
}

function lampTag(item: Tag, lamp: Pick<Lamp, "colour" | "sound">): Tag {
  const children = item.children;
  const label: Tag = { role: "Lbl", children: [], actual: lamp.sound ? "sound:" : `${lamp.colour ?? "no colour"}:` };
  children.unshift(label);
  return label;
}

/** How many of each colour, under a list; a table has its counts in its last row. */
function countRows(setting: Setting, line: Lights, column: Column, parent: Tag, step: string): readonly Row[] {
  if (line.cases.length > 1) return [];
  return line.cases.flatMap((one) => {
    if (one.counts.length === 0) return [];
    const said: Said = { tag: tag(parent, "P"), purpose: "text", step };
    return paragraph(
      setting,
      [
        ...wordsOf(setting.measure, "Count:", body(setting)),
        ...one.counts.map((count, index) => countWord(setting, count, index < one.counts.length - 1 ? "," : "")),
      ],
      column,
      said,
    );
  });
}

function countWord(setting: Setting, count: Count, mark: string): Word {
  return wordOf(setting.measure, `${count.number} ${count.colour}${mark}`, body(setting, "bold"));
}
