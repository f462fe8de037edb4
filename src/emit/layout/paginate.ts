import type { Frame, Piece, Row } from "./piece.js";

export interface Room {
  /** Height for the flow on the first page and on every other, in points. */
  readonly first: number;
  readonly other: number;
}

/** A page costs more than any number of awkward breaks, and less than one that must never be. */
const PAGE = 6000;
const BADNESS = 1000;
/** Draws empty space towards the last page. */
const EMPTY = 80;
/** An empty half of the last page hurts less than one in the middle. */
const LAST = 0.3;

/**
 * Where pages begin: indices of their first pieces, 0 first. The fewest pages, then the least sum of what breaks cost and of empty
 * space squared, over all ways to break (dynamic programming). A piece taller than a page has one to itself.
 */
export function pageStarts(flow: readonly Piece[], room: Room): readonly number[] {
  const best: number[] = [0];
  const from: number[] = [0];
  const heads = flow.map((_, index) => continuedHeight(flow, index));
  for (let end = 1; end <= flow.length; end += 1) {
    best.push(Number.POSITIVE_INFINITY);
    from.push(end - 1);
  }
  for (let start = 0; start < flow.length; start += 1) {
    const height = start === 0 ? room.first : room.other;
    let used = (heads[start] ?? 0) + padAbove(flow, start);
    for (let end = start + 1; end <= flow.length; end += 1) {
      const piece = flow[end - 1];
      if (!piece) break;
      used += piece.height + piece.after + (end - 1 === start ? 0 : piece.before);
      if (used > height && end > start + 1) break;
      const cost = (best[start] ?? 0) + pageCost(flow, start, used / height, end === flow.length);
      if (cost < (best[end] ?? 0)) {
        best[end] = cost;
        from[end] = start;
      }
    }
  }
  const starts: number[] = [];
  for (let end = flow.length; end > 0; end = from[end] ?? 0) starts.unshift(from[end] ?? 0);
  return starts;
}

function pageCost(flow: readonly Piece[], start: number, fill: number, last: boolean): number {
  const empty = Math.max(0, 1 - fill);
  const broken = start === 0 ? 0 : (flow[start]?.penalty ?? 0);
  return PAGE + broken + (BADNESS * empty * empty + EMPTY * empty) * (last ? LAST : 1);
}

/** What is said again at the top of a page: the section that goes on, and the innermost frame that does. */
export function continuedRows(flow: readonly Piece[], start: number): readonly Row[] {
  const before = new Set<Frame>(flow[start - 1]?.frames ?? []);
  const open = (flow[start]?.frames ?? []).filter((frame) => before.has(frame) && frame.continued !== undefined);
  const section = open.find((frame) => frame.style === "none");
  const inner = open.at(-1);
  return [...new Set([section, inner])].flatMap((frame) => (frame?.continued ? [frame.continued] : []));
}

/** What the frames that begin with a piece keep above it; at the top of a page all other space before it is dropped. */
export function padAbove(flow: readonly Piece[], start: number): number {
  const before = new Set<Frame>(flow[start - 1]?.frames ?? []);
  return (flow[start]?.frames ?? []).reduce((sum, frame) => sum + (before.has(frame) ? 0 : frame.pad), 0);
}

function continuedHeight(flow: readonly Piece[], start: number): number {
  return start === 0 ? 0 : continuedRows(flow, start).reduce((sum, row) => sum + row.height, 0);
}
