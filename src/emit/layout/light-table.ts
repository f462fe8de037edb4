import type { Lamp, Line } from "../card/content.js";
import { INK, type Mark } from "../drawing/marks.js";
import { lampMarks, lampSize, lampWords, rowHeight } from "./lamp.js";
import { moved } from "./move.js";
import type { Content, Row } from "./piece.js";
import { content, decoration, paragraph, type Said } from "./rows.js";
import { body, type Column, lineHeight, markSize, type Setting } from "./setting.js";
import { type Tag, tag } from "./structure.js";
import { wordOf, wordsOf } from "./words.js";

type Lights = Extract<Line, { kind: "lights" }>;

/** Cases as columns: a lamp where it is lit, a short stroke where it is out. */
export function tableRows(setting: Setting, line: Lights, column: Column, parent: Tag, step: string): readonly Row[] {
  const table = tag(parent, "Table");
  const width = Math.min(columnWidth(setting, line), (column.width * 0.7) / line.cases.length);
  const first = column.width - width * line.cases.length;
  const columns = line.cases.map((_, index): Column => ({ x: column.x + first + index * width, width }));
  return [
    headRow(setting, line, columns, tag(table, "TR"), step),
    ...line.lamps.map(({ lamp, lit }) =>
      tableRow(setting, lamp, lit, { x: column.x, width: first }, columns, tag(table, "TR"), step),
    ),
    countRow(setting, line, { x: column.x, width: first }, columns, tag(table, "TR"), step),
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
      { most: 6 },
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
    { most: 4 },
  );
  const tall = Math.max(height, name.length * lineHeight(setting) + 2);
  const edge = edgeAbove(first, columns, 0.4);
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

/** Wide enough for the longest word of a heading, and so wide that few headings take more than three lines. */
function columnWidth(setting: Setting, line: Lights): number {
  const size = markSize(setting);
  const widths = line.cases.map(({ heading }) => {
    const words = heading.split(" ").map((word) => setting.measure.width(word, "bold", size));
    return Math.max(...words, setting.measure.width(heading, "bold", size) / 2.6);
  });
  return Math.max(...widths, lampSize(setting) * 2) + 8;
}

/** `2 red` over `1 green` in each column. */
function countRow(
  setting: Setting,
  line: Lights,
  first: Column,
  columns: readonly Column[],
  row: Tag,
  step: string,
): Row {
  const said = (owner: Tag): Said => ({ tag: owner, purpose: "text", step });
  const name = paragraph(setting, wordsOf(setting.measure, "Count", body(setting)), first, said(tag(row, "TH")));
  const cells = columns.map((column, index) => {
    const counts = line.cases[index]?.counts ?? [];
    const owner = tag(row, "TD");
    const texts = counts.length > 0 ? counts.map((count) => `${count.number} ${count.colour}`) : ["none"];
    const rows = texts.flatMap((text) =>
      paragraph(
        setting,
        [wordOf(setting.measure, text, { face: "bold", size: markSize(setting) })],
        column,
        said(owner),
      ),
    );
    return rows.map((one, at) => one.contents.map((text) => centred(setting, moved(text, 0, at * one.height), column)));
  });
  const size = lineHeight(setting, markSize(setting));
  const height = Math.max(lineHeight(setting), Math.max(...cells.map((cell) => cell.length)) * size) + 4;
  const contents = [...name.flatMap((one) => one.contents), ...cells.flat(2)].map((one) => moved(one, 0, 3));
  return { height, contents: [decoration([edgeAbove(first, columns, 1.2)]), ...contents] };
}

function edgeAbove(first: Column, columns: readonly Column[], weight: number): Mark {
  const last = columns.at(-1) ?? first;
  return {
    kind: "path",
    pieces: [
      { to: "move", x: first.x, y: 0 },
      { to: "line", x: last.x + last.width, y: 0 },
    ],
    stroke: INK,
    weight,
  };
}

function centred(setting: Setting, text: Content, column: Column): Content {
  const marks = text.marks.map((mark) => {
    if (mark.kind !== "text") return mark;
    return { ...mark, x: column.x + (column.width - setting.measure.width(mark.text, mark.face, mark.size)) / 2 };
  });
  return { ...text, marks };
}
