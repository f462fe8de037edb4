import type { Colour } from "../../program/system.js";
import type { Count, Lamp, Line } from "../card/content.js";
import { INK, type Mark } from "../drawing/marks.js";
import { moved } from "./move.js";
import { type Content, enclose, NEVER, type Piece, pieces, type Row } from "./piece.js";
import { content, decoration, paragraph, type Said, tickBox } from "./rows.js";
import { baseLine, body, type Column, lineHeight, markSize, type Setting } from "./setting.js";
import { speaker } from "./signs.js";
import { type Tag, tag } from "./structure.js";
import { lineWidth, type Word, wordOf, wordsOf } from "./words.js";

type Lights = Extract<Line, { kind: "lights" }>;

/** Fill of a lamp and its letter: at least 4.5 to 1 (WCAG 2), so that it also reads in grey. */
export const LAMPS: Readonly<Record<Colour, { readonly fill: string; readonly letter: string }>> = {
  red: { fill: "#c00000", letter: "#ffffff" },
  amber: { fill: "#ffbf00", letter: "#000000" },
  green: { fill: "#007a2f", letter: "#ffffff" },
  blue: { fill: "#0046c8", letter: "#ffffff" },
  white: { fill: "#ffffff", letter: "#000000" },
  cyan: { fill: "#7fe3f0", letter: "#000000" },
};

const NO_COLOUR = { fill: "#ffffff", letter: "#000000" } as const;

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
  const apart = high < setting.height * 0.55 ? WHOLE : 800;
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

/** Lamps are counted: a block that fills no more than about half a page is worth a page of its own. */
const WHOLE = 9000;

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

/** A lamp with its letter. `x`, `y` is its middle, `size` its diameter. */
export function lampMarks(
  setting: Setting,
  lamp: Pick<Lamp, "colour" | "sound">,
  x: number,
  y: number,
  size: number,
): readonly Mark[] {
  if (lamp.sound) return speaker(x, y, size);
  const { fill, letter } = lamp.colour ? LAMPS[lamp.colour] : NO_COLOUR;
  const type = size * 0.62;
  const text = lamp.colour?.charAt(0).toUpperCase() ?? "?";
  const high = setting.measure.capHeight("bold") * type;
  return [
    { kind: "circle", x, y, radius: size / 2 - 0.5, fill, stroke: INK, weight: 0.9 },
    {
      kind: "text",
      x: x - setting.measure.width(text, "bold", type) / 2,
      y: y + high / 2,
      text,
      face: "bold",
      size: type,
      anchor: "start",
      fill: letter,
    },
  ];
}

function lampSize(setting: Setting): number {
  return setting.profile.body * 1.36;
}

function rowHeight(setting: Setting): number {
  return setting.profile.body * 1.55;
}

/** As many columns as the widest name leaves room for, at most four; read across. */
function listRows(setting: Setting, line: Lights, column: Column, parent: Tag, step: string): readonly Row[] {
  const list = tag(parent, "L");
  const cells = line.lamps.map(({ lamp }) => ({ lamp, words: lampWords(setting, lamp) }));
  const taken = lampSize(setting) + setting.profile.body * (setting.boxes ? 2.6 : 1.4);
  const widest = Math.max(0, ...cells.map((cell) => lineWidth(setting.measure, cell.words))) + taken;
  const columns = Math.max(1, Math.min(4, cells.length, Math.floor(column.width / widest)));
  const width = column.width / columns;
  const rows: Row[] = [];
  for (let at = 0; at < cells.length; at += columns) {
    const across = cells.slice(at, at + columns);
    const tall = across.map((cell, index) =>
      lampCell(setting, cell, { x: column.x + index * width, width }, list, step),
    );
    rows.push({ height: Math.max(...tall.map((row) => row.height)), contents: tall.flatMap((row) => row.contents) });
  }
  return rows;
}

function lampWords(setting: Setting, lamp: Lamp): readonly Word[] {
  const name = wordsOf(setting.measure, `${lamp.label}${lamp.sound ? " sounds" : ""}`, body(setting));
  return lamp.only
    ? [...name, ...wordsOf(setting.measure, `(${lamp.only})`, { face: "regular", size: markSize(setting) })]
    : name;
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
  const name = paragraph(setting, cell.words, { x, width: room }, { tag: tag(item, "LBody"), purpose: "text", step });
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

/** Cases as columns: a lamp where it is lit, a short stroke where it is out. */
function tableRows(setting: Setting, line: Lights, column: Column, parent: Tag, step: string): readonly Row[] {
  const table = tag(parent, "Table");
  const share = Math.min(0.62, 0.24 * line.cases.length);
  const first = column.width * (1 - share);
  const width = (column.width - first) / line.cases.length;
  const columns = line.cases.map((_, index): Column => ({ x: column.x + first + index * width, width }));
  return [
    headRow(setting, line, columns, tag(table, "TR"), step),
    ...line.lamps.map(({ lamp, lit }) =>
      tableRow(setting, lamp, lit, { x: column.x, width: first }, columns, tag(table, "TR"), step),
    ),
  ];
}

function headRow(setting: Setting, line: Lights, columns: readonly Column[], row: Tag, step: string): Row {
  const size = markSize(setting);
  tag(row, "TH");
  const cells = line.cases.map((one, index) => {
    const column = columns[index] ?? { x: 0, width: 1 };
    const words = wordsOf(setting.measure, one.heading, { face: "bold", size });
    return paragraph(
      setting,
      words,
      { x: column.x + 3, width: column.width - 6 },
      { tag: tag(row, "TH"), purpose: "text", step },
    );
  });
  const lines = Math.max(...cells.map((cell) => cell.length));
  const high = lineHeight(setting, size);
  const contents = cells.flatMap((cell, index) => {
    const column = columns[index] ?? { x: 0, width: 1 };
    return cell.flatMap((one, at) =>
      one.contents.map((text) => centred(setting, moved(text, 0, (lines - cell.length + at) * high), column)),
    );
  });
  return { height: lines * high + 2, contents };
}

function tableRow(
  setting: Setting,
  lamp: Lamp,
  lit: readonly boolean[],
  first: Column,
  columns: readonly Column[],
  row: Tag,
  step: string,
): Row {
  const size = lampSize(setting);
  const height = rowHeight(setting);
  const shift = (height - lineHeight(setting)) / 2;
  const name = paragraph(
    setting,
    lampWords(setting, lamp),
    { x: first.x, width: first.width - 4 },
    { tag: tag(row, "TH"), purpose: "text", step },
  );
  const tall = Math.max(height, name.length * lineHeight(setting) + 2);
  const edge: Mark = {
    kind: "path",
    pieces: [
      { to: "move", x: first.x, y: 0 },
      { to: "line", x: (columns.at(-1)?.x ?? 0) + (columns.at(-1)?.width ?? 0), y: 0 },
    ],
    stroke: INK,
    weight: 0.4,
  };
  const cells = columns.map((column, index) => {
    const middle = column.x + column.width / 2;
    const state = lit[index] === true;
    const cell: Tag = { role: "TD", children: [], actual: state ? "lit" : "out" };
    row.children.push(cell);
    const marks = state ? lampMarks(setting, lamp, middle, height / 2, size) : [outMark(middle, height / 2, size)];
    return content(marks, { tag: cell, purpose: "lamp", step });
  });
  const names = name.flatMap((one, index) =>
    one.contents.map((text) => moved(text, 0, shift + index * lineHeight(setting))),
  );
  return { height: tall, contents: [decoration([edge]), ...names, ...cells] };
}

function outMark(x: number, y: number, size: number): Mark {
  return {
    kind: "path",
    pieces: [
      { to: "move", x: x - size * 0.25, y },
      { to: "line", x: x + size * 0.25, y },
    ],
    stroke: INK,
    weight: 1.2,
  };
}

/** How many of each colour, once under a list, once under each column of a table. */
function countRows(setting: Setting, line: Lights, column: Column, parent: Tag, step: string): readonly Row[] {
  return line.cases.flatMap((one) => {
    if (one.counts.length === 0) return [];
    const said: Said = { tag: tag(parent, "P"), purpose: "text", step };
    const lead = one.heading ? `Count, ${one.heading.charAt(0).toLowerCase()}${one.heading.slice(1)}:` : "Count:";
    return paragraph(
      setting,
      [
        ...wordsOf(setting.measure, lead, body(setting)),
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

function centred(setting: Setting, text: Content, column: Column): Content {
  const marks = text.marks.map((mark) => {
    if (mark.kind !== "text") return mark;
    return { ...mark, x: column.x + (column.width - setting.measure.width(mark.text, mark.face, mark.size)) / 2 };
  });
  return { ...text, marks };
}
