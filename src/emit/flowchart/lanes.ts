import { type Context, headingOf } from "./context.js";
import type { FlowNode, LanesFlow, Meeting } from "./flow.js";
import type { Grid } from "./grid.js";
import { endsOf, type Lane, meetingWires } from "./meetings.js";
import { type Box, boxOf, boxRect, type Label, mirrored, moved, type Piece, piece, type Wire } from "./piece.js";
import { clearDown, type Rect } from "./rect.js";
import { exitLabels, gapAfter, labelAt } from "./ways.js";

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
  const ends = lanes.flatMap((lane) => (lane.piece.exit ? [lane.piece.exit.y + gapAfter(grid, lane.piece.exit)] : []));
  const bar = barBox(flow.join, context, first, last, 0);
  const top = Math.max(...ends, clearDown([boxRect(bar)], rects, grid.clear), hanging(rects, grid));
  const join = { ...bar, y: top };
  const begins = flow.resumed ? [] : [fork];
  const boxes = [...begins, ...lanes.flatMap((lane) => [...lane.piece.boxes]), ...(ends.length > 0 ? [join] : [])];
  const wires = lanes.flatMap((lane) => [...laneWires(lane, begins, join)]);
  const labels = [
    ...headingOf(grid, fork),
    ...lanes.flatMap((lane) => [...lane.piece.labels, ...laneLabels(context, lane, fork)]),
  ];
  const meetings = meetingWires(flow.meetings, lanes, grid);
  const whole = ends.length === lanes.length && !flow.ended;
  return piece(
    fork,
    { boxes, wires: [...wires, ...meetings], labels },
    whole ? { id: join.node.id, y: join.y + join.height, label: "" } : undefined,
  );
}

/** Nothing hangs down on the left, where the way back of a loop around the lanes will run. */
function hanging(rects: readonly Rect[], grid: Grid): number {
  return Math.max(...rects.filter((rect) => rect.x0 < 0).map((rect) => rect.y1 + grid.clear));
}

/** Lays the lanes out again until no lane waits for a step that stands lower down; those that wait for each other stay so. */
function inTime(flow: LanesFlow, context: Context): readonly Lane[] {
  const extra = new Map(context.extra);
  let lanes = sideBySide(flow, { ...context, extra });
  for (let round = 0; round < flow.meetings.length + 2; round += 1) {
    const late = flow.meetings
      .map((meeting) => ({ meeting, by: lateness(lanes, meeting) }))
      .filter((one) => one.by > 0.01);
    if (late.length === 0) break;
    for (const { meeting, by } of late) extra.set(meeting.to, (extra.get(meeting.to) ?? 0) + by);
    lanes = sideBySide(flow, { ...context, extra });
  }
  return lanes;
}

/** Zero where one of the two is not drawn. */
function lateness(lanes: readonly Lane[], meeting: Meeting): number {
  const ends = endsOf(meeting, lanes);
  return ends ? ends.from.y + ends.from.height / 2 - (ends.to.y + ends.to.height / 2) : 0;
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
    const late = context.extra.get(turned.entry.node.id) ?? 0;
    const part = moved(turned, x, laneTop(flow, context, turned) + late);
    const name = laneName(context, lane.title, x, 0).map((label) => label.rect);
    edge = Math.max(...[...part.rects, ...name].map((rect) => rect.x1));
    lanes.push({ title: lane.title, x, piece: part });
  }
  const middle = ((lanes[0]?.x ?? 0) + (lanes.at(-1)?.x ?? 0)) / 2;
  return lanes.map((lane) => ({ ...lane, x: lane.x - middle, piece: moved(lane.piece, -middle, 0) }));
}

/** Low enough for the longest name of a lane beside the line that comes in, and for headings. */
function laneTop(flow: LanesFlow, context: Context, lane: Piece): number {
  const { grid } = context;
  const names = flow.lanes.flatMap(({ title }) => laneName(context, title, 0, 0));
  const name = Math.max(0, ...names.map((label) => label.rect.y1));
  const rise = Math.max(0, ...lane.rects.map((rect) => -rect.y0));
  return 0.4 * grid.size + Math.max(name + grid.arrow, rise + 1.6 * grid.size);
}

function laneName(context: Context, title: string, x: number, y: number): readonly Label[] {
  const { grid } = context;
  const place = { x: x + 0.5 * grid.size, y: y + 0.25 * grid.size, anchor: "start", above: false, bold: true } as const;
  return labelAt(grid, title, place, 12 * grid.size);
}

function barBox(node: FlowNode, context: Context, first: number, last: number, y: number): Box {
  const box = boxOf(node, context.grid, 0, y);
  return { ...box, width: last - first + 3 * context.grid.size };
}

function laneWires(lane: Lane, begins: readonly Box[], join: Box): readonly Wire[] {
  const entry = lane.piece.entry;
  const begin = begins.map((fork): Wire => {
    const points = [
      { x: lane.x, y: fork.y + fork.height },
      { x: lane.x, y: entry.y },
    ];
    return { from: fork.node.id, to: entry.node.id, points, arrow: entry.node.shape !== "joint", broken: false };
  });
  const exit = lane.piece.exit;
  if (!exit) return [...lane.piece.wires, ...begin];
  const points = [
    { x: lane.x, y: exit.y },
    { x: lane.x, y: join.y },
  ];
  return [...lane.piece.wires, ...begin, { from: exit.id, to: join.node.id, points, arrow: true, broken: false }];
}

function laneLabels(context: Context, lane: Lane, fork: Box): readonly Label[] {
  const { grid } = context;
  const exit = lane.piece.exit;
  return [...laneName(context, lane.title, lane.x, fork.height), ...(exit ? exitLabels(grid, exit, lane.x) : [])];
}
