import { INK, type Mark } from "../drawing/marks.js";
import { type FrameExtent, frameMarks } from "./frames.js";
import { moved } from "./move.js";
import { padAbove } from "./paginate.js";
import type { Content, Frame, Piece, Row } from "./piece.js";
import { removedMark } from "./tail.js";

/** The pieces of a flow from `start` to before `end` one under the other, between `top` and `bottom`, with their frames and bars. */
export function drawnRun(
  flow: readonly Piece[],
  start: number,
  end: number,
  top: number,
  bottom: number,
): readonly Content[] {
  const run = placed(flow, start, end, top + padAbove(flow, start), bottom);
  const marks = [...frameExtents(flow, run, start, end).flatMap(frameMarks), ...barMarks(run, 0)];
  return [...run.flatMap(({ piece, y }) => piece.contents.map((one) => moved(one, 0, y))), { purpose: "frame", marks }];
}

/** A whole flow as one row that never comes apart. `edge` is where its column begins: its bars stand left of that. */
export function stacked(flow: readonly Piece[], edge: number): Row {
  const run = placed(flow, 0, flow.length, padAbove(flow, 0), Number.POSITIVE_INFINITY);
  const last = run.at(-1);
  const marks = [...frameExtents(flow, run, 0, flow.length).flatMap(frameMarks), ...barMarks(run, edge)];
  return {
    height: last ? last.y + last.piece.height + last.piece.after : 0,
    contents: [
      ...run.flatMap(({ piece, y }) => piece.contents.map((one) => moved(one, 0, y))),
      { purpose: "frame", marks },
    ],
  };
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
function barMarks(run: readonly PlacedPiece[], edge: number): readonly Mark[] {
  const marks: Mark[] = [];
  let from: number | undefined;
  run.forEach(({ piece, y }, index) => {
    if (piece.removedBefore) marks.push(removedMark(edge - 13, y - piece.before / 2));
    if (!piece.changed) return;
    from ??= y;
    const next = run[index + 1]?.piece;
    if (next?.changed) return;
    marks.push({ kind: "rect", x: edge - 11, y: from, width: 2.6, height: y + piece.height - from, fill: INK });
    from = undefined;
  });
  return marks;
}
