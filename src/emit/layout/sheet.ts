import { INK, type Mark } from "../drawing/marks.js";
import { type FrameExtent, frameMarks } from "./frames.js";
import type { Margins } from "./margins.js";
import { moved } from "./move.js";
import { continuedRows, padAbove } from "./paginate.js";
import type { Content, Frame, Piece, Row } from "./piece.js";
import { lineHeight, type Setting } from "./setting.js";
import { removedMark } from "./tail.js";

/** Everything on one page but the flow itself. */
export interface Sheet {
  readonly setting: Setting;
  readonly head: Row;
  readonly foot: Row;
  readonly more: Row | undefined;
  readonly bottom: number;
  readonly gap: number;
  readonly margins: Margins;
}

/** The contents of a page that holds the flow from `start` to before `end`, in reading order. */
export function sheetContents(sheet: Sheet, flow: readonly Piece[], start: number, end: number): readonly Content[] {
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
