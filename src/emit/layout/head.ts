import type { Lamp } from "../card/content.js";
import { dateLine, headFacts, readingWay, revisionLine } from "../card/head.js";
import { INK, type Mark, PAPER, QUIET } from "../drawing/marks.js";
import { lampMarks, lampSize, lampWords, rowHeight } from "./lamp.js";
import { moved } from "./move.js";
import { type Content, type Piece, pieces, type Row } from "./piece.js";
import { content, decoration, oneLine, paragraph } from "./rows.js";
import { baseLine, body, type Column, lineHeight, type Setting, small } from "./setting.js";
import { pointer } from "./signs.js";
import { type Tag, tag } from "./structure.js";
import { lineMarks, lineWidth, type Word, wordOf, wordsOf } from "./words.js";

/** The head of a card's first page: what it is of, its title and id, its revision, its category told by the form of a mark. */
export function firstHead(setting: Setting, parent: Tag): Row {
  const { document, profile } = setting;
  const top = spreadRow(
    setting,
    wordsOf(setting.measure, document.system, { ...small(setting), fill: QUIET }),
    [wordOf(setting.measure, document.id, small(setting, "bold"))],
    parent,
  );
  const title = titleRows(setting, parent);
  const dates = [revisionLine(document), dateLine(document)].filter(Boolean).join(", ");
  const way = wordsOf(setting.measure, readingWay(document), small(setting));
  const last = spreadRow(setting, wordsOf(setting.measure, dates, small(setting)), way, parent);
  return stacked([top, ...title, last], profile.body * 0.3, setting.width, 1.6);
}

/** The head of every other page. */
export function otherHead(setting: Setting, tagged?: Tag): Row {
  const { document, measure } = setting;
  const title = wordsOf(measure, document.title, body(setting, "bold"));
  const id = document.id ? [wordOf(measure, document.id, body(setting))] : [];
  return stacked([spreadRow(setting, title, id, tagged)], setting.profile.body * 0.2, setting.width, 0.8);
}

/** When to use it, who does it, what is taken for granted: the first pieces of the flow. */
export function factPieces(setting: Setting, parent: Tag): readonly Piece[] {
  const { measure, profile } = setting;
  return headFacts(setting.document).flatMap(({ word, text, first, lamps }, index) => {
    const style = first ? body(setting) : small(setting);
    const words = [...wordsOf(measure, `${word}:`, { ...style, fill: QUIET }), ...wordsOf(measure, text, style)];
    const rows = paragraph(setting, words, { x: 0, width: setting.width }, { tag: tag(parent, "P"), purpose: "text" });
    const made = pieces(rows, { part: "lead", before: index === 0 ? 0 : profile.small * 0.2, penalty: 300 });
    return [...made, ...signPieces(setting, parent, lamps)];
  });
}

/** The lights that call for the card, drawn as they are seen. */
function signPieces(setting: Setting, parent: Tag, lamps: readonly Lamp[]): readonly Piece[] {
  const { profile, measure } = setting;
  const size = lampSize(setting);
  const rows: Content[][] = [];
  let x = setting.width;
  for (const lamp of lamps) {
    const words = lampWords(setting, lamp);
    const width = size + profile.body * 0.5 + lineWidth(measure, words);
    if (x + width > setting.width) {
      rows.push([]);
      x = 0;
    }
    const item = tag(parent, "P");
    const drawn = content(lampMarks(setting, lamp, x + size / 2, rowHeight(setting) / 2, size), {
      tag: tag(item, "Span", { actual: `${lamp.colour ?? "sound"}:` }),
      purpose: "lamp",
    });
    const y = (rowHeight(setting) - lineHeight(setting)) / 2 + baseLine(setting);
    rows.at(-1)?.push(
      drawn,
      content(lineMarks(measure, words, x + size + profile.body * 0.5, y), {
        tag: tag(item, "Span"),
        purpose: "text",
      }),
    );
    x += width + profile.body * 1.5;
  }
  return pieces(
    rows.map((contents) => ({ height: rowHeight(setting), contents })),
    { part: "lead", penalty: 3000 },
  );
}

/** The title, with the mark of the category at its right: filled for an emergency, framed for what is abnormal, plain otherwise. */
function titleRows(setting: Setting, parent: Tag): readonly Row[] {
  const { document, measure, profile } = setting;
  const size = profile.heading * 1.25;
  const chip = categoryChip(setting);
  const column: Column = { x: 0, width: setting.width - chip.width - profile.body };
  const rows = paragraph(
    setting,
    wordsOf(measure, document.title, { face: "bold", size }),
    column,
    {
      tag: tag(parent, "H1"),
      purpose: "heading",
    },
    { fit: "even", most: 3 },
  );
  const y = baseLine(setting, size);
  const placed = content(chip.marks(setting.width - chip.width, y), { tag: tag(parent, "P"), purpose: "text" });
  return rows.map((row, index) => (index === 0 ? { ...row, contents: [...row.contents, placed] } : row));
}

function categoryChip(setting: Setting): {
  readonly width: number;
  readonly marks: (x: number, y: number) => readonly Mark[];
} {
  const { document, measure, profile } = setting;
  const filled = document.category === "emergency";
  const framed = filled || document.category === "abnormal";
  const style = { ...small(setting, framed ? "bold" : "regular"), fill: filled ? PAPER : INK };
  const words = oneLine(setting, wordsOf(measure, document.category.toUpperCase(), style), setting.width * 0.4);
  const wide = lineWidth(measure, words);
  const pad = framed ? profile.small * 0.5 : 0;
  const high = profile.small * 1.5;
  return {
    width: wide + 2 * pad,
    marks: (x, y) => {
      const middle = y - (measure.capHeight("bold") * profile.small) / 2;
      const box: Mark = {
        kind: "rect",
        x,
        y: middle - high / 2,
        width: wide + 2 * pad,
        height: high,
        ...(filled ? { fill: INK } : { stroke: INK, weight: 1.2 }),
      };
      return [...(framed ? [box] : []), ...lineMarks(measure, words, x + pad, y)];
    },
  };
}

/** Left and right on one line; the left side wraps where they do not fit. */
function spreadRow(setting: Setting, left: readonly Word[], right: readonly Word[], parent: Tag | undefined): Row {
  const { measure } = setting;
  const size = Math.max(0, ...[...left, ...right].map((word) => word.size));
  const atMost = oneLine(setting, right, setting.width * 0.55);
  const width = lineWidth(measure, atMost);
  const said = () => ({
    purpose: "foot" as const,
    ...(parent ? { tag: parent.role === "H1" ? parent : tag(parent, "P") } : {}),
  });
  const rows = paragraph(setting, left, { x: 0, width: setting.width - width - (width > 0 ? size : 0) }, said(), {
    most: 2,
  });
  const contents = rows.flatMap((row, index) => row.contents.map((one) => moved(one, 0, index * row.height)));
  const atRight =
    atMost.length > 0
      ? [content(lineMarks(measure, atMost, setting.width - width, baseLine(setting, size)), said())]
      : [];
  return { height: rows.reduce((sum, row) => sum + row.height, 0), contents: [...contents, ...atRight] };
}

function stacked(rows: readonly Row[], gap: number, width: number, weight: number): Row {
  const contents: Content[] = [];
  let y = 0;
  for (const row of rows) {
    contents.push(...row.contents.map((one) => moved(one, 0, y)));
    y += row.height;
  }
  const edge: Mark = { kind: "rect", x: 0, y: y + gap * 0.5, width, height: weight, fill: INK };
  return { height: y + gap + weight, contents: [...contents, decoration([edge])] };
}

/** `own` counts within the card where the page is numbered through a book, else it is empty. */
export interface PageLabel {
  readonly own: string;
  readonly page: string;
}

/** The foot of a page: which card, which revision, which page, and the lines of caution. */
export function foot(setting: Setting, label: PageLabel, parent: Tag | undefined): Row {
  const { document, measure, profile } = setting;
  const { revision: issue } = document;
  const revision = document.id
    ? [document.id, label.own, revisionLine(document), issue?.effective ?? issue?.date ?? ""]
        .filter(Boolean)
        .join(" \u00b7 ")
    : document.project;
  const right = wordsOf(measure, label.page, small(setting, "bold"));
  const line = spreadRow(setting, wordsOf(measure, revision, small(setting)), right, undefined);
  const [first = "", ...rest] = document.cautions;
  const fictional = rest.length > 0;
  const words = [
    ...wordsOf(measure, first, small(setting, fictional ? "bold" : "regular")),
    ...rest.flatMap((text) => wordsOf(measure, text, small(setting))),
  ];
  const cautions = paragraph(
    setting,
    words,
    { x: 0, width: setting.width },
    { purpose: "foot", ...(parent ? { tag: tag(parent, "P") } : {}) },
  );
  const edge: Mark = { kind: "rect", x: 0, y: 0, width: setting.width, height: 0.6, fill: INK };
  const contents: Content[] = [decoration([edge])];
  let y = profile.small * 0.25;
  for (const row of [line, ...cautions]) {
    contents.push(...row.contents.map((one) => moved(one, 0, y)));
    y += row.height;
  }
  return { height: y, contents };
}

/** At the foot of a page that is not the last: a word and a pointer. */
export function continuedMark(setting: Setting): Row {
  const { measure, profile } = setting;
  const word = wordsOf(measure, "continued", small(setting, "bold"));
  const width = lineWidth(measure, word);
  const arrow = profile.small * 0.8;
  const x = setting.width - width - arrow * 1.3;
  const marks = [
    ...lineMarks(measure, word, x, baseLine(setting, profile.small)),
    pointer(setting.width - arrow * 0.8, lineHeight(setting, profile.small) / 2, arrow),
  ];
  return { height: lineHeight(setting, profile.small), contents: [{ purpose: "foot", marks }] };
}
