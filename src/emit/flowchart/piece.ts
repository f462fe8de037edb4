import type { Point } from "../drawing/marks.js";
import type { FlowNode } from "./flow.js";
import type { Grid } from "./grid.js";
import { mirroredRect, movedRect, type Rect } from "./rect.js";
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
