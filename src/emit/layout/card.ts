import type { CardDocument } from "../card/content.js";
import { INK, type Mark } from "../drawing/marks.js";
import type { Measure } from "../drawing/measure.js";
import { blockPieces } from "./blocks.js";
import { draftMarks } from "./draft.js";
import { type FrameExtent, frameMarks } from "./frames.js";
import { continuedMark, factPieces, firstHead, foot, otherHead } from "./head.js";
import { moved } from "./move.js";
import { continuedRows, padAbove, pageStarts } from "./paginate.js";
import { MILLIMETRE, type Paper } from "./paper.js";
import type { Content, Frame, Piece, Row } from "./piece.js";
import type { Profile } from "./profile.js";
import { lineHeight, type Setting, settingOf } from "./setting.js";
import { type Tag, tag } from "./structure.js";
import { removedMark, tailPieces } from "./tail.js";

/** A finished page: what to draw, in reading order, in points from the top left corner. */
export interface Page {
  readonly width: number;
  readonly height: number;
  readonly contents: readonly Content[];
  /** The card that it is a page of; absent on the pages that a book adds. */
  readonly card?: string;
  /** Counted within the card, from 1. */
  readonly number: number;
}

export interface LayoutOptions {
  readonly measure: Measure;
  readonly paper: Paper;
  readonly profile: Profile;
  /** Which edge is bound: that margin is wider. `mirrored` binds right on even pages. */
  readonly binding: "left" | "mirrored" | "top" | "none";
  readonly boxes: boolean;
  /** The page number in the book at which this card begins. */
  readonly firstPage?: number;
  readonly pageOf: (procedure: string) => string | undefined;
}

interface Margins {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

/** Lays a card out: pages of drawing marks, and the card's part of the logical structure, which is hung under `parent`. */
export function layoutCard(document: CardDocument, options: LayoutOptions, parent: Tag): readonly Page[] {
  const margins = marginsOf(options, 1);
  const { paper } = options;
  const setting = settingOf({
    measure: options.measure,
    profile: options.profile,
    document,
    width: paper.width - margins.left - margins.right,
    boxes: options.boxes,
    pageOf: options.pageOf,
  });
  const owner = tag(parent, "Sect", { title: document.title });
  const head = firstHead(setting, owner);
  const flow = flowOf(setting, owner);
  const other = otherHead(setting);
  const last = tag(owner, "P");
  const feet = foot(setting, "Page 99 of 99", last).height;
  const gap = options.profile.body * 0.6;
  const more = lineHeight(setting, options.profile.small);
  const high = paper.height - margins.top - margins.bottom - feet - more - gap - options.profile.body * 0.4;
  const starts = pageStarts(flow, { first: high - head.height, other: high - other.height });
  return starts.map((start, index) => {
    const number = index + 1;
    const label = pageLabel(number, starts.length, options.firstPage);
    const places = marginsOf(options, (options.firstPage ?? 1) + index);
    const sheet: Sheet = {
      setting,
      head: index === 0 ? head : other,
      foot: foot(setting, label, index === 0 ? last : undefined),
      more: index + 1 < starts.length ? continuedMark(setting) : undefined,
      bottom: paper.height - places.bottom,
      gap,
      margins: places,
    };
    const contents = sheetContents(sheet, flow, start, starts[index + 1] ?? flow.length);
    const draft: readonly Content[] = document.draft
      ? [{ purpose: "draft", marks: draftMarks(paper.width, paper.height) }]
      : [];
    return { width: paper.width, height: paper.height, contents: [...draft, ...contents], card: document.id, number };
  });
}

function flowOf(setting: Setting, owner: Tag): readonly Piece[] {
  const place = { column: { x: 0, width: setting.width }, parent: owner, depth: 0 };
  return [
    ...factPieces(setting, owner),
    ...blockPieces(setting, setting.document.blocks, place),
    ...tailPieces(setting, owner),
  ];
}

function pageLabel(number: number, count: number, firstPage: number | undefined): string {
  const own = `Page ${number} of ${count}`;
  return firstPage === undefined ? own : `${own}  \u00b7  ${firstPage + number - 1}`;
}

/** CAP 676: room for a binding and a thumb; 15 mm is from memory. Small papers are bound by a ring at a corner and need less. */
function marginsOf(options: LayoutOptions, page: number): Margins {
  const narrow = Math.min(options.paper.width, options.paper.height) / MILLIMETRE;
  const outer = Math.min(11, Math.max(6, narrow * 0.055)) * MILLIMETRE;
  const bound = (narrow < 120 ? 10 : 15) * MILLIMETRE;
  const side = Math.max(outer, 6 * MILLIMETRE);
  const plain = { left: side, right: outer, top: outer, bottom: outer };
  if (options.binding === "none") return plain;
  if (options.binding === "top") return { ...plain, top: bound };
  const right = options.binding === "mirrored" && page % 2 === 0;
  return right ? { ...plain, right: bound } : { ...plain, left: bound };
}

interface Sheet {
  readonly setting: Setting;
  readonly head: Row;
  readonly foot: Row;
  readonly more: Row | undefined;
  readonly bottom: number;
  readonly gap: number;
  readonly margins: Margins;
}

function sheetContents(sheet: Sheet, flow: readonly Piece[], start: number, end: number): readonly Content[] {
  const { margins, setting } = sheet;
  const at = (row: Row, y: number) => row.contents.map((one) => moved(one, margins.left, y));
  const top = margins.top + sheet.head.height + sheet.gap;
  const footTop = sheet.bottom - sheet.foot.height;
  const moreTop = footTop - lineHeight(setting, setting.profile.small);
  const contents: Content[] = [...at(sheet.head, margins.top)];
  let y = top;
  for (const row of start === 0 ? [] : continuedRows(flow, start)) {
    contents.push(...at(row, y));
    y += row.height;
  }
  const run = placed(flow, start, end, y + padAbove(flow, start), moreTop);
  for (const { piece, y: pieceTop } of run) contents.push(...at(piece, pieceTop));
  const extents = frameExtents(flow, run, start, end);
  contents.push({ purpose: "frame", marks: [...extents.flatMap(frameMarks), ...barMarks(run)] });
  const moved_ = contents.map((one, index) => (index === contents.length - 1 ? moved(one, margins.left, 0) : one));
  return [...moved_, ...(sheet.more ? at(sheet.more, moreTop) : []), ...at(sheet.foot, footTop)];
}

interface PlacedPiece {
  readonly piece: Piece;
  readonly y: number;
}

/** Tops of the pieces; a little empty space at the foot is shared out between the lines, so that pages end alike. */
function placed(
  flow: readonly Piece[],
  start: number,
  end: number,
  top: number,
  bottom: number,
): readonly PlacedPiece[] {
  const run = flow.slice(start, end);
  const used = run.reduce(
    (sum, piece, index) => sum + piece.height + piece.after + (index === 0 ? 0 : piece.before),
    0,
  );
  const gaps = run.filter((piece, index) => index > 0 && piece.before > 0).length;
  const free = bottom - top - used;
  const share = end === flow.length || free > (bottom - top) * 0.16 || gaps === 0 ? 0 : Math.min(free / gaps, 5);
  const result: PlacedPiece[] = [];
  let y = top;
  run.forEach((piece, index) => {
    if (index > 0) y += piece.before + (piece.before > 0 ? share : 0);
    result.push({ piece, y });
    y += piece.height + piece.after;
  });
  return result;
}

/** From where to where each frame reaches on this page. Frames that begin or end with the same piece lie one within the other. */
function frameExtents(
  flow: readonly Piece[],
  run: readonly PlacedPiece[],
  start: number,
  end: number,
): readonly FrameExtent[] {
  const found = new Map<Frame, FrameExtent>();
  const earlier = new Set(flow[start - 1]?.frames ?? []);
  const later = new Set(flow[end]?.frames ?? []);
  run.forEach(({ piece, y }, index) => {
    const before = new Set(run[index - 1]?.piece.frames ?? earlier);
    const after = new Set(run[index + 1]?.piece.frames ?? later);
    let [above, below] = [0, 0];
    for (const frame of [...piece.frames].reverse()) {
      if (!before.has(frame)) above += frame.pad;
      if (!after.has(frame)) below += frame.pad;
      const known = found.get(frame);
      found.set(frame, {
        style: frame.style,
        x: frame.x,
        width: frame.width,
        top: known?.top ?? y - (before.has(frame) ? 2 : above),
        bottom: y + piece.height + (after.has(frame) ? 2 : below),
        openTop: known?.openTop ?? before.has(frame),
        openBottom: after.has(frame),
      });
    }
  });
  return [...found.values()];
}

/** Change bars stand left of the text, joined where neighbouring lines have changed. */
function barMarks(run: readonly PlacedPiece[]): readonly Mark[] {
  const marks: Mark[] = [];
  let from: number | undefined;
  run.forEach(({ piece, y }, index) => {
    if (piece.removedBefore) marks.push(removedMark(-13, y - piece.before / 2));
    if (!piece.changed) return;
    from ??= y;
    const next = run[index + 1]?.piece;
    if (next?.changed) return;
    marks.push({ kind: "rect", x: -11, y: from, width: 2.6, height: y + piece.height - from, fill: INK });
    from = undefined;
  });
  return marks;
}
