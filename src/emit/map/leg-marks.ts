import type { Mark, PathPiece, Point } from "../drawing/marks.js";
import type { Badge } from "./badge.js";
import type { DrawnLeg, LegStyle } from "./legs.js";
import { type Box, boxesMeet, extentOf } from "./near.js";

/** Where an earlier leg is crossed, it is broken for the later one, which so runs over it like a bridge. */
export function legMarks(legs: readonly DrawnLeg[], size: number): readonly Mark[] {
  return legs.flatMap((leg, index) => {
    const gaps = legs.slice(0, index).flatMap((under) => crossings(leg, under));
    const bridges = gaps.map(({ at, along }) => bridge(at, along, leg, size));
    return [...bridges, stroke(leg), arrow(leg, size)];
  });
}

interface Crossing {
  readonly at: Point;
  readonly along: Point;
}

function crossings({ points: over, ...above }: DrawnLeg, { points: under, ...below }: DrawnLeg): readonly Crossing[] {
  if (!boxesMeet(above.box, below.box)) return [];
  const found: Crossing[] = [];
  for (let i = 1; i < over.length; i += 1) {
    for (let j = 1; j < under.length; j += 1) {
      const crossing = cross(over[i - 1] as Point, over[i] as Point, under[j - 1] as Point, under[j] as Point);
      if (crossing) found.push(crossing);
    }
  }
  return found;
}

/** Two pieces that cross well inside both. */
function cross(a: Point, b: Point, c: Point, d: Point): Crossing | undefined {
  const rx = b.x - a.x;
  const ry = b.y - a.y;
  const sx = d.x - c.x;
  const sy = d.y - c.y;
  const turn = rx * sy - ry * sx;
  if (Math.abs(turn) < 1e-9) return undefined;
  const t = ((c.x - a.x) * sy - (c.y - a.y) * sx) / turn;
  const u = ((c.x - a.x) * ry - (c.y - a.y) * rx) / turn;
  if (t <= 0.001 || t >= 0.999 || u <= 0.001 || u >= 0.999) return undefined;
  const length = Math.hypot(rx, ry) || 1;
  return { at: { x: a.x + rx * t, y: a.y + ry * t }, along: { x: rx / length, y: ry / length } };
}

function bridge(at: Point, along: Point, leg: DrawnLeg, size: number): Mark {
  const half = 0.45 * size;
  const pieces: PathPiece[] = [
    { to: "move", x: at.x - along.x * half, y: at.y - along.y * half },
    { to: "line", x: at.x + along.x * half, y: at.y + along.y * half },
  ];
  return { kind: "path", pieces, stroke: "#ffffff", weight: leg.pen.weight + 0.5 * size };
}

export function stroke(leg: DrawnLeg): Mark {
  const from = leg.points[0] as Point;
  const to = leg.points.at(-1) as Point;
  const move: PathPiece = { to: "move", x: from.x, y: from.y };
  if (leg.bend === 0) return { kind: "path", pieces: [move, { to: "line", x: to.x, y: to.y }], ...leg.pen };
  const length = Math.hypot(to.x - from.x, to.y - from.y) || 1;
  const off = (4 / 3) * leg.bend;
  const [ax, ay] = [(-(to.y - from.y) / length) * off, ((to.x - from.x) / length) * off];
  const by = [
    from.x + (to.x - from.x) / 3 + ax,
    from.y + (to.y - from.y) / 3 + ay,
    to.x - (to.x - from.x) / 3 + ax,
    to.y - (to.y - from.y) / 3 + ay,
  ] as const;
  return { kind: "path", pieces: [move, { to: "curve", by, x: to.x, y: to.y }], ...leg.pen };
}

/** In the middle of the leg, pointing the way it goes. */
function arrow(leg: DrawnLeg, size: number): Mark {
  const index = Math.ceil((leg.points.length - 1) / 2);
  const [a, b] = [leg.points[index - 1] as Point, leg.points[index] as Point];
  const length = Math.hypot(b.x - a.x, b.y - a.y) || 1;
  const [ux, uy] = [(b.x - a.x) / length, (b.y - a.y) / length];
  const middle = { x: (a.x + b.x) / 2 + ux * 0.3 * size, y: (a.y + b.y) / 2 + uy * 0.3 * size };
  const back = { x: middle.x - ux * 0.7 * size, y: middle.y - uy * 0.7 * size };
  const wing = 0.28 * size;
  const pieces: PathPiece[] = [
    { to: "move", x: middle.x, y: middle.y },
    { to: "line", x: back.x - uy * wing, y: back.y + ux * wing },
    { to: "line", x: back.x + uy * wing, y: back.y - ux * wing },
    { to: "close" },
  ];
  return { kind: "path", pieces, fill: leg.pen.stroke };
}

/** A leg that leaves the sheet or comes back to it: a short line, with the number that it leads to or comes from. */
export interface Stub {
  readonly marks: readonly Mark[];
  /** What it takes up beyond its badge. */
  readonly box: Box;
}

/** In about the direction in which the other end lies, turned away from what it would cover. */
export function stub(badge: Badge, towards: Point, { leaving, number, style, taken }: StubOptions): Stub {
  const straight = Math.atan2(towards.y - badge.y, towards.x - badge.x);
  const tried = TURNS.map((turn) => stubAt(badge, straight + turn, style.size));
  const costs = tried.map(
    ({ box, text }, index) => taken.filter((one) => boxesMeet(one, text) || boxesMeet(one, box)).length + index * 0.01,
  );
  const chosen = tried[costs.indexOf(Math.min(...costs))] ?? stubAt(badge, straight, style.size);
  return { marks: stubMarks(badge, chosen, { leaving, number, style }), box: chosen.text };
}

export interface StubOptions {
  readonly leaving: boolean;
  readonly number: string;
  readonly style: LegStyle;
  /** Words and other badges to keep clear of. */
  readonly taken: readonly Box[];
}

/** From the true direction, the nearest first. */
const TURNS = [0, 0.5, -0.5, 1, -1, 1.5, -1.5, 2.1, -2.1, 2.7, -2.7];

interface PlacedStub {
  readonly end: Point;
  readonly at: Point;
  /** Of the outer half of its line, and of its number. */
  readonly box: Box;
  readonly text: Box;
}

function stubAt(badge: Badge, angle: number, size: number): PlacedStub {
  const [ux, uy] = [Math.cos(angle), Math.sin(angle)];
  const point = (far: number) => ({ x: badge.x + ux * far * size, y: badge.y + uy * far * size });
  const at = point(3.4);
  const text = { x0: at.x - 0.8 * size, y0: at.y - 0.5 * size, x1: at.x + 0.8 * size, y1: at.y + 0.5 * size };
  const [near, far] = [point(1.6), point(2.7)];
  const box = {
    x0: Math.min(near.x, far.x),
    y0: Math.min(near.y, far.y),
    x1: Math.max(near.x, far.x),
    y1: Math.max(near.y, far.y),
  };
  return { end: point(2.7), at, box, text };
}

function stubMarks(
  badge: Badge,
  { end, at }: PlacedStub,
  { leaving, number, style }: Omit<StubOptions, "taken">,
): readonly Mark[] {
  const pen = { stroke: style.colour, weight: 0.13 * style.size, ...(style.dash ? { dash: style.dash } : {}) };
  const points = leaving ? [badge, end] : [end, badge];
  const leg: DrawnLeg = { points, bend: 0, box: extentOf(points), pen };
  const text: Mark = {
    kind: "text",
    x: at.x,
    y: at.y + 0.3 * style.size,
    text: number,
    face: "italic",
    size: 0.8 * style.size,
    anchor: "middle",
    fill: style.colour,
  };
  return [stroke(leg), arrow(leg, style.size), text];
}
