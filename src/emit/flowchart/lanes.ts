import { type Context, headingOf } from "./context.js";
import type { FlowNode, LanesFlow, Meeting } from "./flow.js";
import {
  type Box,
  boxOf,
  boxRect,
  clearDown,
  type Label,
  labelAt,
  mirrored,
  moved,
  type Piece,
  piece,
  type Rect,
  type Wire,
} from "./piece.js";

/**
 * Lanes side by side between two bars, each on its own straight spine. The first is turned round, so that the inner sides
 * face each other and the lines of their meetings run between them.
 */
export function layoutLanes(flow: LanesFlow, context: Context): Piece | undefined {
  const lanes = inTime(flow, context);
  if (lanes.length === 0) return undefined;
  const { grid } = context;
  const first = lanes[0]?.x ?? 0;
  const last = lanes.at(-1)?.x ?? 0;
  const fork = barBox(flow.fork, context, first, last, 0);
  const rects = lanes.flatMap((lane) => [...lane.piece.rects]);
  const ends = lanes.flatMap((lane) => (lane.piece.exit ? [lane.piece.exit.y] : []));
  const bar = barBox(flow.join, context, first, last, 0);
  const top = Math.max(...ends.map((y) => y + grid.wordGap), clearDown([boxRect(bar)], rects, grid.clear));
  const join = { ...bar, y: top };
  const boxes = [fork, ...lanes.flatMap((lane) => [...lane.piece.boxes]), ...(ends.length > 0 ? [join] : [])];
  const wires = lanes.flatMap((lane) => [...laneWires(flow, context, lane, fork, join)]);
  const labels = [
    ...headingOf(grid, fork),
    ...lanes.flatMap((lane) => [...lane.piece.labels, ...laneLabels(context, lane, fork, join)]),
  ];
  const meetings = meetingWires(flow.meetings, lanes, context);
  const whole = ends.length === lanes.length;
  return piece(
    fork,
    { boxes, wires: [...wires, ...meetings], labels },
    whole ? { id: join.node.id, y: join.y + join.height, label: "" } : undefined,
  );
}

interface Lane {
  readonly title: string;
  readonly x: number;
  readonly piece: Piece;
}

/** Lays the lanes out again until no lane waits for a step that stands lower down; those that wait for each other stay so. */
function inTime(flow: LanesFlow, context: Context): readonly Lane[] {
  const extra = new Map(context.extra);
  let lanes = sideBySide(flow, { ...context, extra });
  for (let round = 0; round < flow.meetings.length + 2; round += 1) {
    const late = flow.meetings
      .map((meeting) => ({ meeting, by: middleOf(lanes, meeting.from) - middleOf(lanes, meeting.to) }))
      .filter((one) => one.by > 0.01);
    if (late.length === 0) break;
    for (const { meeting, by } of late) extra.set(meeting.to, (extra.get(meeting.to) ?? 0) + by);
    lanes = sideBySide(flow, { ...context, extra });
  }
  return lanes;
}

function middleOf(lanes: readonly Lane[], id: string): number {
  const box = findBox(lanes, id);
  return box ? box.y + box.height / 2 : 0;
}

function findBox(lanes: readonly Lane[], id: string): Box | undefined {
  for (const lane of lanes) {
    const box = lane.piece.boxes.find((candidate) => candidate.node.id === id);
    if (box) return box;
  }
  return undefined;
}

/** The middle between the outermost spines is at x = 0, where the bars are entered and left. */
function sideBySide(flow: LanesFlow, context: Context): readonly Lane[] {
  const { grid } = context;
  const channel = (flow.meetings.length + 1) * 0.9 * grid.size + grid.clear;
  const lanes: Lane[] = [];
  let edge = 0;
  for (const [index, lane] of flow.lanes.entries()) {
    const inner = context.layoutSequence(lane.flow, context);
    if (!inner) continue;
    const turned = index === 0 && flow.lanes.length > 1 ? mirrored(inner) : inner;
    const x = lanes.length === 0 ? 0 : edge + channel - Math.min(...turned.rects.map((rect) => rect.x0));
    const rise = Math.max(0, ...turned.rects.map((rect) => -rect.y0));
    const part = moved(turned, x, 0.4 * grid.size + Math.max(2.6 * grid.size, rise + 1.6 * grid.size));
    edge = Math.max(...part.rects.map((rect) => rect.x1));
    lanes.push({ title: lane.title, x, piece: part });
  }
  const middle = ((lanes[0]?.x ?? 0) + (lanes.at(-1)?.x ?? 0)) / 2;
  return lanes.map((lane) => ({ ...lane, x: lane.x - middle, piece: moved(lane.piece, -middle, 0) }));
}

function barBox(node: FlowNode, context: Context, first: number, last: number, y: number): Box {
  const box = boxOf(node, context.grid, 0, y);
  return { ...box, width: last - first + 3 * context.grid.size };
}

function laneWires(_flow: LanesFlow, _context: Context, lane: Lane, fork: Box, join: Box): readonly Wire[] {
  const top = { x: lane.x, y: fork.y + fork.height };
  const entry = lane.piece.entry;
  const begin: Wire = {
    from: fork.node.id,
    to: entry.node.id,
    points: [top, { x: lane.x, y: entry.y }],
    arrow: entry.node.shape !== "joint",
    broken: false,
  };
  const exit = lane.piece.exit;
  if (!exit) return [...lane.piece.wires, begin];
  const points = [
    { x: lane.x, y: exit.y },
    { x: lane.x, y: join.y },
  ];
  return [...lane.piece.wires, begin, { from: exit.id, to: join.node.id, points, arrow: true, broken: false }];
}

function laneLabels(context: Context, lane: Lane, fork: Box, _join: Box): readonly Label[] {
  const { grid } = context;
  const x = lane.x + 0.5 * grid.size;
  const title = labelAt(
    grid,
    lane.title,
    { x, y: fork.height + 0.25 * grid.size, anchor: "start", above: false, bold: true },
    9 * grid.size,
  );
  const exit = lane.piece.exit;
  const word = exit
    ? labelAt(grid, exit.label, { x, y: exit.y + 0.15 * grid.size, anchor: "start", above: false }, 9 * grid.size)
    : [];
  return [...title, ...word];
}

/** A broken line from the step that is waited for to the one that waits, through the channel between two lanes. */
function meetingWires(meetings: readonly Meeting[], lanes: readonly Lane[], context: Context): readonly Wire[] {
  const { grid } = context;
  const [left, right] = lanes;
  if (!left || !right || lanes.length !== 2) return [];
  const levels: Rect[] = [];
  const start = Math.max(...left.piece.rects.map((rect) => rect.x1));
  return meetings.flatMap((meeting, index): readonly Wire[] => {
    const from = findBox(lanes, meeting.from);
    const to = findBox(lanes, meeting.to);
    if (!from || !to || !onSpine(from, lanes) || !onSpine(to, lanes)) return [];
    const slot = start + (index + 1) * 0.9 * grid.size;
    const side = (box: Box) => (box.x === left.x ? box.x + box.width / 2 : box.x - box.width / 2);
    const [y0, y1] = freeLevels(levels, grid.size, { from, to, slot, side });
    const points =
      y0 === y1
        ? [
            { x: side(from), y: y0 },
            { x: side(to), y: y1 },
          ]
        : [
            { x: side(from), y: y0 },
            { x: slot, y: y0 },
            { x: slot, y: y1 },
            { x: side(to), y: y1 },
          ];
    return [{ from: meeting.from, to: meeting.to, points, arrow: true, broken: true }];
  });
}

function onSpine(box: Box, lanes: readonly Lane[]): boolean {
  return lanes.some((lane) => Math.abs(lane.x - box.x) < 0.01);
}

/** Heights at which a meeting leaves and arrives so that it lies on no other: the middle of the shapes, or a little off it. */
function freeLevels(
  levels: Rect[],
  size: number,
  ends: { readonly from: Box; readonly to: Box; readonly slot: number; readonly side: (box: Box) => number },
): readonly [number, number] {
  const middle = (box: Box) => box.y + box.height / 2;
  const level = (box: Box, other: number, offset: number): Rect => {
    const y = middle(box) + offset;
    const x = ends.side(box);
    return { x0: Math.min(x, other), x1: Math.max(x, other), y0: y - 0.25 * size, y1: y + 0.25 * size };
  };
  const free = (rect: Rect) =>
    levels.every((used) => used.x1 <= rect.x0 || rect.x1 <= used.x0 || used.y1 <= rect.y0 || rect.y1 <= used.y0);
  const straight = Math.abs(middle(ends.from) - middle(ends.to)) < 0.02;
  const offsets = [0, 0.5, -0.5, 0.9, -0.9].map((part) => part * size);
  if (straight) {
    for (const offset of offsets) {
      const rect = level(ends.from, ends.side(ends.to), offset);
      if (!free(rect)) continue;
      levels.push(rect);
      return [middle(ends.from) + offset, middle(ends.from) + offset];
    }
  }
  const pick = (box: Box): number => {
    const offset = offsets.find((candidate) => free(level(box, ends.slot, candidate))) ?? 0;
    levels.push(level(box, ends.slot, offset));
    return middle(box) + offset;
  };
  return [pick(ends.from), pick(ends.to)];
}
