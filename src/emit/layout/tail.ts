import type { Key } from "../card/content.js";
import { INK, type Mark } from "../drawing/marks.js";
import { moved } from "./move.js";
import { enclose, NEVER, type Piece, pieces, RATHER_NOT, type Row } from "./piece.js";
import { content, decoration, paragraph } from "./rows.js";
import { baseLine, body, type Column, lineHeight, type Setting, small } from "./setting.js";
import { diamond } from "./signs.js";
import { type Tag, tag } from "./structure.js";
import { lineMarks, wordsOf } from "./words.js";

/** What ends a card: what is still forbidden, the end and what comes next, foot notes, the meaning of the marks. */
export function tailPieces(setting: Setting, parent: Tag): readonly Piece[] {
  return [
    ...inForcePieces(setting, parent),
    ...closePieces(setting, parent),
    ...footnotePieces(setting, parent),
    ...keyPieces(setting, parent),
  ];
}

function inForcePieces(setting: Setting, parent: Tag): readonly Piece[] {
  const { document, measure, profile } = setting;
  if (document.inForce.length === 0) return [];
  const pad = profile.body * 0.45;
  const column = { x: pad, width: setting.width - 2 * pad };
  const owner = tag(parent, "Sect", { title: "Still in force" });
  const head = paragraph(setting, wordsOf(measure, "Still in force: never", body(setting, "bold")), column, {
    tag: tag(owner, "H3"),
    purpose: "heading",
  });
  const list = tag(owner, "L");
  const rows = document.inForce.flatMap((text) =>
    paragraph(setting, wordsOf(measure, text, body(setting)), column, {
      tag: tag(tag(list, "LI"), "LBody"),
      purpose: "text",
    }),
  );
  const inside = [...pieces(head, { part: "tail" }), ...rows.map((row) => ({ ...plainTail(row), penalty: NEVER }))];
  return spaced(enclose(inside, { style: "memory", x: 0, width: setting.width, pad }), profile.body * 0.8, 0);
}

function plainTail(row: Row): Piece {
  return { ...row, before: 0, after: 0, penalty: 0, frames: [], part: "tail", changed: false, removedBefore: false };
}

function spaced(all: readonly Piece[], before: number, penalty: number): readonly Piece[] {
  return all.map((piece, index) => (index === 0 ? { ...piece, before: piece.before + before, penalty } : piece));
}

function closePieces(setting: Setting, parent: Tag): readonly Piece[] {
  const { document, measure, profile } = setting;
  const column = { x: 0, width: setting.width };
  const end = paragraph(setting, wordsOf(measure, "END OF CARD", body(setting, "bold")), column, {
    tag: tag(parent, "P"),
    purpose: "text",
  });
  const close = pieces(
    end.map((row) => centred(setting, row, undefined)),
    { part: "tail", before: profile.body * 0.9, penalty: 3000 },
  );
  const { next } = document;
  if (!next) return close;
  const page = setting.pageOf(next.procedure);
  const words = [
    ...wordsOf(measure, "Next:", body(setting, "bold")),
    ...wordsOf(measure, `${next.title}, ${page === undefined ? next.procedure : `page ${page}`}`, body(setting)),
  ];
  const link = tag(tag(parent, "P"), "Link", { alt: `Next: ${next.title}` });
  const rows = paragraph(setting, words, column, { tag: link, purpose: "text" }, { fit: "even" }).map((row) =>
    centred(setting, row, next.procedure),
  );
  return [...close, ...pieces(rows, { part: "tail", before: profile.body * 0.2, penalty: 3000 })];
}

function centred(setting: Setting, row: Row, procedure: string | undefined): Row {
  const texts = row.contents.flatMap((one) => one.marks).filter((mark) => mark.kind === "text");
  const right = Math.max(0, ...texts.map((mark) => mark.x + setting.measure.width(mark.text, mark.face, mark.size)));
  const contents = row.contents.map((one) => moved(one, (setting.width - right) / 2, 0));
  const [first, ...rest] = contents;
  if (!procedure || !first) return { ...row, contents };
  return {
    ...row,
    contents: [{ ...first, link: { procedure, x: 0, y: 0, width: setting.width, height: row.height } }, ...rest],
  };
}

function footnotePieces(setting: Setting, parent: Tag): readonly Piece[] {
  const { document, measure, profile } = setting;
  return document.footnotes.flatMap((note, index) => {
    const owner = tag(parent, "Note");
    const shift = noteShift(setting);
    const rows = paragraph(
      setting,
      wordsOf(measure, note.text, small(setting)),
      { x: shift, width: setting.width - shift },
      { tag: owner, purpose: "text" },
    );
    const mark = content(
      lineMarks(measure, wordsOf(measure, note.mark, small(setting)), 0, baseLine(setting, profile.small)),
      { tag: owner, purpose: "text" },
    );
    const marked = rows.map((row, at) => (at === 0 ? { ...row, contents: [mark, ...row.contents] } : row));
    return pieces(marked, {
      part: "tail",
      before: index === 0 ? profile.body * 0.6 : profile.small * 0.15,
      penalty: index === 0 ? 0 : 60,
    });
  });
}

/** Foot notes and keys stand on one edge, right of the widest mark. */
function noteShift({ measure, profile }: Setting): number {
  return measure.width("verify", "bold", profile.small) + profile.small * 0.6;
}

function keyPieces(setting: Setting, parent: Tag): readonly Piece[] {
  const { document, measure, profile } = setting;
  return document.keys.flatMap((key, index) => {
    const owner = tag(parent, "P");
    const shift = noteShift(setting);
    const column: Column = { x: shift, width: setting.width - shift };
    const rows = paragraph(setting, wordsOf(measure, key.text, small(setting)), column, {
      tag: owner,
      purpose: "text",
    });
    const marked = rows.map((row, at) =>
      at === 0 ? { ...row, contents: [keyMark(setting, key, owner), ...row.contents] } : row,
    );
    return pieces(marked, {
      part: "tail",
      before: index === 0 ? profile.body * 0.6 : profile.small * 0.15,
      penalty: index === 0 ? 0 : RATHER_NOT,
    });
  });
}

function keyMark(setting: Setting, key: Key, owner: Tag) {
  const { measure, profile } = setting;
  const middle = lineHeight(setting, profile.small) / 2;
  const bar: Mark = {
    kind: "rect",
    x: profile.small * 0.6,
    y: middle - profile.small * 0.5,
    width: 2.6,
    height: profile.small,
    fill: INK,
  };
  switch (key.mark) {
    case "bar":
      return decoration([bar]);
    case "removed":
      return decoration([removedMark(profile.small * 0.4, middle)]);
    case "killer":
      return decoration([diamond(profile.small * 0.75, middle, profile.small * 0.7)]);
    default: {
      const text = key.mark === "footnote" ? "+1" : key.mark;
      return content(lineMarks(measure, wordsOf(measure, text, small(setting)), 0, baseLine(setting, profile.small)), {
        tag: owner,
        purpose: "text",
      });
    }
  }
}

/** A short thick stroke across the margin: something was taken out here. `x` is its left end. */
export function removedMark(x: number, y: number): Mark {
  return { kind: "rect", x, y: y - 1.3, width: 8, height: 2.6, fill: INK };
}
