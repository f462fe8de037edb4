import type { Point } from "../drawing/marks.js";
import { wrap } from "../drawing/wrap.js";
import type { FlowNode } from "./flow.js";
import type { Grid } from "./grid.js";
import { sizeOf } from "./shapes.js";
import type { Sized } from "./text.js";

/** A shape in its place: `x` is its middle, `y` its top. */
export interface Box extends Sized {
  readonly node: FlowNode;
  readonly x: number;
  readonly y: number;
}

/** A line of flow between two shapes, by their ids; corners are square. */
export interface Wire {
  readonly from: string;
  readonly to: string;
  readonly points: readonly Point[];
  readonly arrow: boolean;
  /** Taken whenever something happens, or a meeting of lanes; not the order of steps. */
  readonly broken: boolean;
}

/** Words beside a line; `x`, `y` of the first base line. */
export interface Label {
  readonly lines: readonly string[];
  readonly bold: boolean;
  readonly x: number;
  readonly y: number;
  readonly anchor: "start" | "end";
  readonly rect: Rect;
}

export interface Rect {
  readonly x0: number;
  readonly y0: number;
  readonly x1: number;
  readonly y1: number;
}

/** Where the flow leaves a piece, on its spine at x = 0, and the word that belongs to the line. */
export interface Way {
  readonly id: string;
  readonly y: number;
  readonly label: string;
}

/** A part of the chart laid out around its own spine: it is entered at (0, 0), the top of its first shape. */
export interface Piece {
  readonly boxes: readonly Box[];
  readonly wires: readonly Wire[];
  readonly labels: readonly Label[];
  /** Everything that must not be drawn over. */
  readonly rects: readonly Rect[];
  readonly entry: Box;
  readonly exit?: Way;
}

export function boxOf(node: FlowNode, grid: Grid, x = 0, y = 0): Box {
  return { node, x, y, ...sizeOf(node, grid) };
}

export function boxRect(box: Box): Rect {
  return { x0: box.x - box.width / 2, y0: box.y, x1: box.x + box.width / 2, y1: box.y + box.height };
}

export function wireRects(wire: Wire): readonly Rect[] {
  const rects: Rect[] = [];
  for (let index = 1; index < wire.points.length; index += 1) {
    const [from, to] = [wire.points[index - 1], wire.points[index]];
    if (from && to) rects.push(between(from, to));
  }
  return rects;
}

function between(from: Point, to: Point): Rect {
  return {
    x0: Math.min(from.x, to.x),
    y0: Math.min(from.y, to.y),
    x1: Math.max(from.x, to.x),
    y1: Math.max(from.y, to.y),
  };
}

/** A piece from its parts. */
export function piece(
  entry: Box,
  parts: { readonly boxes: readonly Box[]; readonly wires: readonly Wire[]; readonly labels: readonly Label[] },
  exit: Way | undefined,
): Piece {
  const rects: Rect[] = parts.boxes.map(boxRect);
  for (const wire of parts.wires) rects.push(...wireRects(wire));
  for (const label of parts.labels) rects.push(label.rect);
  const { boxes, wires, labels } = parts;
  return exit ? { boxes, wires, labels, rects, entry, exit } : { boxes, wires, labels, rects, entry };
}

/** Written out field by field: a chart of 300 steps is moved thousands of times. */
export function moved(from: Piece, dx: number, dy: number): Piece {
  const boxes = from.boxes.map((box) => movedBox(box, dx, dy));
  const wires = from.wires.map((wire) => movedWire(wire, dx, dy));
  const labels = from.labels.map((label) => movedLabel(label, dx, dy));
  const rects = from.rects.map((rect) => movedRect(rect, dx, dy));
  const entry = movedBox(from.entry, dx, dy);
  if (!from.exit) return { boxes, wires, labels, rects, entry };
  return { boxes, wires, labels, rects, entry, exit: { ...from.exit, y: from.exit.y + dy } };
}

/** The same, left and right changed over; words stay readable. */
export function mirrored(from: Piece): Piece {
  return {
    ...from,
    boxes: from.boxes.map((box) => ({ ...box, x: -box.x })),
    wires: from.wires.map((wire) => ({ ...wire, points: wire.points.map((point) => ({ x: -point.x, y: point.y })) })),
    labels: from.labels.map((label) => ({
      ...label,
      x: -label.x,
      anchor: label.anchor === "start" ? "end" : "start",
      rect: mirroredRect(label.rect),
    })),
    rects: from.rects.map(mirroredRect),
    entry: { ...from.entry, x: -from.entry.x },
  };
}

/** A word beside a line: above a level one, or to one side of an upright one. Undefined where there is no word. */
export function labelAt(
  grid: Grid,
  text: string,
  place: {
    readonly x: number;
    readonly y: number;
    readonly anchor: "start" | "end";
    readonly above: boolean;
    readonly bold?: boolean;
  },
  limit: number,
): Label[] {
  const face = place.bold ? "bold" : "regular";
  const lines = wrap(text, limit, { face, size: grid.size }, grid.measure);
  if (lines.length === 0) return [];
  const width = Math.max(...lines.map((line) => grid.measure.width(line, face, grid.size)));
  const height = lines.length * grid.line;
  const y0 = place.above ? place.y - height : place.y;
  const x0 = place.anchor === "start" ? place.x : place.x - width;
  const rect = { x0, y0, x1: x0 + width, y1: y0 + height };
  return [{ lines, bold: place.bold ?? false, x: place.x, y: y0 + 0.95 * grid.size, anchor: place.anchor, rect }];
}

/** The line from where a piece is left to a shape below it on the same spine. */
export function wireDown(grid: Grid, exit: Way, to: Box): { readonly wire: Wire; readonly labels: readonly Label[] } {
  const points = [
    { x: to.x, y: exit.y },
    { x: to.x, y: to.y },
  ];
  const wire: Wire = { from: exit.id, to: to.node.id, points, arrow: to.node.shape !== "joint", broken: false };
  return { wire, labels: exitLabels(grid, exit, to.x) };
}

/** The word beside the line that leaves a piece whose spine is at `x`. */
export function exitLabels(grid: Grid, exit: Way, x: number): readonly Label[] {
  const place = { x: x + 0.45 * grid.size, y: exit.y + 0.15 * grid.size, anchor: "start", above: false } as const;
  return labelAt(grid, exit.label, place, 8 * grid.size);
}

/** The least length of the line that leaves a piece, with room for its word and an arrow. */
export function gapAfter(grid: Grid, exit: Way): number {
  const labels = exitLabels(grid, exit, 0);
  return labels.length === 0
    ? grid.gap
    : Math.max(grid.wordGap, ...labels.map((label) => label.rect.y1 - exit.y + grid.arrow + 0.2 * grid.size));
}

/** What the line that leaves a piece will take up, `depth` points down from where it begins. */
export function exitRects(grid: Grid, exit: Way | undefined, x: number, depth: number): readonly Rect[] {
  if (!exit) return [];
  return [{ x0: x, x1: x, y0: exit.y, y1: exit.y + depth }, ...exitLabels(grid, exit, x).map((label) => label.rect)];
}

export const DEEP = 1e7;

/** How far right `of` must move so that it stands clear of all that is `beside` it at the same height. */
export function clearRight(of: readonly Rect[], beside: readonly Rect[], clear: number): number {
  let shift = Number.NEGATIVE_INFINITY;
  for (const a of beside) {
    for (const b of of) {
      if (a.y0 - clear < b.y1 && b.y0 - clear < a.y1) shift = Math.max(shift, a.x1 + clear - b.x0);
    }
  }
  return shift;
}

/** How far down `lower` must move so that it stands clear of what is above it at the same place across. */
export function clearDown(lower: readonly Rect[], upper: readonly Rect[], clear: number): number {
  let shift = Number.NEGATIVE_INFINITY;
  for (const a of upper) {
    for (const b of lower) {
      if (a.x0 - clear < b.x1 && b.x0 - clear < a.x1) shift = Math.max(shift, a.y1 + clear - b.y0);
    }
  }
  return shift;
}

function movedBox(box: Box, dx: number, dy: number): Box {
  const { node, x, y, width, height, rows, rules } = box;
  return { node, x: x + dx, y: y + dy, width, height, rows, rules };
}

function movedWire(wire: Wire, dx: number, dy: number): Wire {
  const { from, to, points, arrow, broken } = wire;
  return { from, to, points: points.map(({ x, y }) => ({ x: x + dx, y: y + dy })), arrow, broken };
}

function movedLabel(label: Label, dx: number, dy: number): Label {
  const { lines, bold, x, y, anchor, rect } = label;
  return { lines, bold, x: x + dx, y: y + dy, anchor, rect: movedRect(rect, dx, dy) };
}

export function movedRect(rect: Rect, dx: number, dy: number): Rect {
  return { x0: rect.x0 + dx, y0: rect.y0 + dy, x1: rect.x1 + dx, y1: rect.y1 + dy };
}

function mirroredRect(rect: Rect): Rect {
  return { x0: -rect.x1, y0: rect.y0, x1: -rect.x0, y1: rect.y1 };
}

/** The least rectangle around all of `rects`, of which there is at least one. */
export function boundsOf(rects: readonly Rect[]): Rect {
  return rects.reduce((all, rect) => ({
    x0: Math.min(all.x0, rect.x0),
    y0: Math.min(all.y0, rect.y0),
    x1: Math.max(all.x1, rect.x1),
    y1: Math.max(all.y1, rect.y1),
  }));
}
