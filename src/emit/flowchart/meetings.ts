import type { Point } from "../drawing/marks.js";
import type { Meeting } from "./flow.js";
import type { Grid } from "./grid.js";
import { type Box, boxRect, type Piece, type Wire, wireRects } from "./piece.js";
import type { Rect } from "./rect.js";

/** A lane in its place: the `x` of its spine, and what stands on it. */
export interface Lane {
  readonly title: string;
  readonly x: number;
  readonly piece: Piece;
}

/** The shape that is waited for, the last where a step has several, and the one that waits. */
export function endsOf(meeting: Meeting, lanes: readonly Lane[]): { readonly from: Box; readonly to: Box } | undefined {
  const boxes = lanes.flatMap((lane) => [...lane.piece.boxes]);
  const find = (id: string) => boxes.find((box) => box.node.id === id);
  const from = find(`${meeting.from}#let-go`) ?? find(`${meeting.from}#seen`) ?? find(meeting.from);
  const to = find(meeting.to);
  return from && to ? { from, to } : undefined;
}

/**
 * A broken line from the step that is waited for to the one that waits, through the channel between two lanes. Where one
 * of them stands off its spine, or something is in the way, there is none: the text of the waiting step names the other.
 */
export function meetingWires(meetings: readonly Meeting[], lanes: readonly Lane[], grid: Grid): readonly Wire[] {
  const [left, right] = lanes;
  if (!left || !right || lanes.length !== 2) return [];
  const solid = lanes.flatMap((lane) => [
    ...lane.piece.boxes.map(boxRect),
    ...lane.piece.labels.map((label) => label.rect),
  ]);
  const lines = lanes.flatMap((lane) => lane.piece.wires.flatMap(wireRects));
  const start = Math.max(...left.piece.rects.map((rect) => rect.x1));
  const drawn: Wire[] = [];
  meetings.forEach((meeting, index) => {
    const ends = endsOf(meeting, lanes);
    if (!ends || !onSpine(ends.from, lanes) || !onSpine(ends.to, lanes)) return;
    const taken = [...lines, ...drawn.flatMap(wireRects)];
    const routes = routesOf(ends, left, start + (index + 1) * 0.9 * grid.size, grid);
    const points = routes.find((route) => isFree(route, solid, taken));
    if (points) drawn.push({ from: ends.from.node.id, to: ends.to.node.id, points, arrow: true, broken: true });
  });
  return drawn;
}

function onSpine(box: Box, lanes: readonly Lane[]): boolean {
  return lanes.some((lane) => Math.abs(lane.x - box.x) < 0.01);
}

/** Level where both shapes are; else by way of the meeting's own upright line in the channel. The middle of a side comes first. */
function routesOf(
  ends: { readonly from: Box; readonly to: Box },
  left: Lane,
  slot: number,
  grid: Grid,
): readonly (readonly Point[])[] {
  const side = (box: Box) => (Math.abs(box.x - left.x) < 0.01 ? box.x + box.width / 2 : box.x - box.width / 2);
  const [x0, x1] = [side(ends.from), side(ends.to)];
  const starts = levelsOf(ends.from, grid);
  const stops = levelsOf(ends.to, grid);
  const level = starts.flatMap((y) =>
    stops.some((other) => Math.abs(other - y) < 0.02)
      ? [
          [
            { x: x0, y },
            { x: x1, y },
          ],
        ]
      : [],
  );
  const bent = starts.flatMap((y0) =>
    stops.map((y1) => [
      { x: x0, y: y0 },
      { x: slot, y: y0 },
      { x: slot, y: y1 },
      { x: x1, y: y1 },
    ]),
  );
  return [...level, ...bent];
}

function levelsOf(box: Box, grid: Grid): readonly number[] {
  const middle = box.y + box.height / 2;
  if (box.node.shape === "decision") return [middle];
  return [0, 0.6, -0.6, 1.1, -1.1]
    .map((part) => part * grid.size)
    .filter((offset) => Math.abs(offset) < box.height / 2 - 0.3 * grid.size)
    .map((offset) => middle + offset);
}

/** Clear of shapes and words, and on no other line; lines may cross. */
function isFree(route: readonly Point[], solid: readonly Rect[], lines: readonly Rect[]): boolean {
  const pieces = wireRects({ from: "", to: "", points: route, arrow: true, broken: true });
  return pieces.every(
    (piece) => !solid.some((rect) => meets(piece, rect, -0.01)) && !lines.some((other) => liesOn(piece, other)),
  );
}

function meets(a: Rect, b: Rect, margin: number): boolean {
  return a.x0 < b.x1 + margin && b.x0 < a.x1 + margin && a.y0 < b.y1 + margin && b.y0 < a.y1 + margin;
}

function liesOn(a: Rect, b: Rect): boolean {
  const level = (rect: Rect) => rect.y1 - rect.y0 < 0.01;
  return level(a) === level(b) && meets(a, b, 2);
}
