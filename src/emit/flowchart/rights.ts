import type { Context } from "./context.js";
import type { Exit } from "./flow.js";
import type { Grid } from "./grid.js";
import { type Box, boxRect, type Label, moved, type Piece, type Way, type Wire, wireRects } from "./piece.js";
import { clearRight, DEEP, movedRect, type Rect } from "./rect.js";
import { exitRects, labelAt } from "./ways.js";

/** The ways to the right of a decision, in their places; the decision's top is at (0, 0) on its spine. */
export interface Rights {
  readonly boxes: readonly Box[];
  readonly wires: readonly Wire[];
  readonly labels: readonly Label[];
  readonly rects: readonly Rect[];
  readonly columns: readonly Column[];
}

/** One way: the `x` of its spine and, where it goes on, where it comes out. A bypass has no shapes and goes straight down. */
export interface Column {
  readonly x: number;
  readonly exit?: Way;
  readonly bypass: boolean;
  readonly rects: readonly Rect[];
}

/** Places the ways to the right of `decision`, clear of `beside`: a single one level with it, several under one level line. */
export function placeRights(context: Context, rights: readonly Exit[], decision: Box, beside: readonly Rect[]): Rights {
  const narrower = { ...context, room: context.room - context.grid.box - 2 * context.grid.clear };
  const placed: Placed[] = [];
  for (const exit of rights) {
    const inner = context.layoutSequence(exit.flow, narrower);
    const taken = [...beside, boxRect(decision), ...placed.flatMap((other) => [...other.taken])];
    placed.push(placeOne(context, exit, inner, decision, { taken, alone: rights.length === 1 }));
  }
  return {
    boxes: placed.flatMap((one) => one.boxes),
    wires: placed.flatMap((one) => one.wires),
    labels: placed.flatMap((one) => one.labels),
    rects: placed.flatMap((one) => one.column.rects),
    columns: placed.map((one) => one.column),
  };
}

/** The level line by which the ways leave: nothing may stand over it, however far right they are placed. */
export function levelLine(grid: Grid, decision: Box): Rect {
  const y = decision.y + decision.height / 2;
  return { x0: decision.x + decision.width / 2, x1: DEEP, y0: y - grid.line, y1: y };
}

interface Placed {
  readonly boxes: readonly Box[];
  readonly wires: readonly Wire[];
  readonly labels: readonly Label[];
  readonly column: Column;
  /** What later ways must stand clear of. */
  readonly taken: readonly Rect[];
}

interface Around {
  readonly taken: readonly Rect[];
  readonly alone: boolean;
}

function placeOne(context: Context, exit: Exit, inner: Piece | undefined, decision: Box, around: Around): Placed {
  if (!inner) return bypass(context, exit, decision, around);
  const sideways = around.alone && inner.entry.node.shape !== "joint" && inner.entry.node.shape !== "bar";
  return sideways ? levelWith(context, exit, inner, decision, around) : dropped(context, exit, inner, decision, around);
}

/** The first shape stands level with the decision, and is entered from its left side. */
function levelWith(context: Context, exit: Exit, inner: Piece, decision: Box, around: Around): Placed {
  const { grid } = context;
  const start = { x: decision.width / 2, y: decision.y + decision.height / 2 };
  const labels = labelAt(
    grid,
    exit.label,
    { x: start.x + 0.35 * grid.size, y: start.y - 0.2 * grid.size, anchor: "start", above: true },
    labelRoom(grid, exit.label),
  );
  const dy = start.y - inner.entry.height / 2;
  const least = widthOf(labels) + 0.7 * grid.size + grid.arrow + inner.entry.width / 2;
  const level = [...inner.rects, ...exitRects(grid, inner.exit, 0, DEEP)].map((rect) => movedRect(rect, 0, dy));
  const taken = [...around.taken, ...labels.map((label) => label.rect)];
  const x = Math.max(start.x + least, clearRight(level, taken, 0.8 * grid.clear));
  const part = moved(inner, x, dy);
  const end = { x: x - inner.entry.width / 2, y: start.y };
  const wire: Wire = {
    from: decision.node.id,
    to: inner.entry.node.id,
    points: [start, end],
    arrow: true,
    broken: exit.standing ?? false,
  };
  return together(context, part, x, [wire], labels);
}

/** A word over a level line keeps the shapes apart: on a narrow sheet it is broken as often as its words let it. */
function labelRoom(grid: Grid, label: string): number {
  if (grid.box >= 16 * grid.size) return 7 * grid.size;
  const widths = label.split(" ").map((word) => grid.measure.width(word, "regular", grid.size));
  return Math.min(7 * grid.size, Math.max(3 * grid.size, ...widths) + 0.1);
}

/** The first shape hangs from a level line, and is entered from above. */
function dropped(context: Context, exit: Exit, inner: Piece, decision: Box, around: Around): Placed {
  const { grid } = context;
  const start = { x: decision.width / 2, y: decision.y + decision.height / 2 };
  const beside = labelAt(
    grid,
    exit.label,
    { x: 0.45 * grid.size, y: start.y + 0.3 * grid.size, anchor: "start", above: false },
    9 * grid.size,
  );
  const rise = Math.max(0, ...inner.rects.map((rect) => -rect.y0));
  const dy = start.y + Math.max(heightOf(beside) + 0.3 * grid.size, rise + 0.4 * grid.size) + grid.gap;
  const local = [
    ...[...inner.rects, ...exitRects(grid, inner.exit, 0, DEEP)].map((rect) => movedRect(rect, 0, dy)),
    ...beside.map((label) => label.rect),
    { x0: 0, x1: 0, y0: start.y, y1: dy },
  ];
  const x = Math.max(start.x + grid.size, clearRight(local, around.taken, grid.clear));
  const labels = beside.map((label) => ({ ...label, x: label.x + x, rect: movedRect(label.rect, x, 0) }));
  const points = [start, { x, y: start.y }, { x, y: dy }];
  const arrow = inner.entry.node.shape !== "joint";
  const wire: Wire = { from: decision.node.id, to: inner.entry.node.id, points, arrow, broken: exit.standing ?? false };
  return together(context, moved(inner, x, dy), x, [wire], labels);
}

/** Straight down beyond everything; the line itself is drawn where it joins again. */
function bypass(context: Context, exit: Exit, decision: Box, around: Around): Placed {
  const { grid } = context;
  const start = { x: decision.width / 2, y: decision.y + decision.height / 2 };
  const place = { x: start.x + 0.35 * grid.size, y: start.y - 0.2 * grid.size, anchor: "start", above: true } as const;
  const word = around.alone ? labelAt(grid, exit.label, place, 7 * grid.size) : [];
  const x = Math.max(
    start.x + widthOf(word) + 0.8 * grid.size,
    ...around.taken.filter((rect) => rect.y1 > start.y).map((rect) => rect.x1 + grid.clear),
  );
  const beside = { x: x + 0.45 * grid.size, y: start.y + 0.3 * grid.size, anchor: "start", above: false } as const;
  const labels = around.alone ? word : labelAt(grid, exit.label, beside, 9 * grid.size);
  const rects = labels.map((label) => label.rect);
  const column: Column = { x, bypass: true, rects };
  return { boxes: [], wires: [], labels, column, taken: [...rects, { x0: x, x1: x, y0: start.y, y1: DEEP }] };
}

function together(context: Context, part: Piece, x: number, wires: readonly Wire[], labels: readonly Label[]): Placed {
  const rects = [...part.rects, ...wires.flatMap(wireRects), ...labels.map((label) => label.rect)];
  const column: Column = { x, bypass: false, rects, ...(part.exit ? { exit: part.exit } : {}) };
  return {
    boxes: part.boxes,
    wires: [...part.wires, ...wires],
    labels: [...part.labels, ...labels],
    column,
    taken: [...rects, ...exitRects(context.grid, part.exit, x, DEEP)],
  };
}

function widthOf(labels: readonly Label[]): number {
  return Math.max(0, ...labels.map((label) => label.rect.x1 - label.rect.x0));
}

function heightOf(labels: readonly Label[]): number {
  return labels.reduce((sum, label) => sum + label.rect.y1 - label.rect.y0, 0);
}
