import type { Mark, PathPiece, Point } from "../drawing/marks.js";
import type { Badge } from "./badge.js";

/** A drawn leg between two badges: a line, bent where it would run over a third badge. */
export interface DrawnLeg {
  readonly points: readonly Point[];
  /** How far its middle is off the straight line, across from left to right as it goes. */
  readonly bend: number;
  /** All of it lies inside. */
  readonly box: Box;
  readonly pen: { readonly stroke: string; readonly weight: number; readonly dash?: readonly number[] };
}

export interface LegStyle {
  readonly colour: string;
  readonly dash?: readonly number[];
  readonly size: number;
}

/** For reckoning; what is drawn is the curve itself. */
const PIECES = 8;

/** What a leg should keep clear of: other badges first, then the words of what the procedure touches. */
export interface Obstacles {
  readonly badges: readonly Badge[];
  readonly words: readonly Box[];
  readonly used: readonly DrawnLeg[];
}

export interface Box {
  readonly x0: number;
  readonly y0: number;
  readonly x1: number;
  readonly y1: number;
}

/** The leg from one badge to another, clear of all else as far as a bend will do it. */
export function drawLeg(from: Badge, to: Badge, obstacles: Obstacles, style: LegStyle): DrawnLeg {
  const reach = 4 * style.size;
  const badges = obstacles.badges.filter(
    (badge) => badge !== from && badge !== to && distance(badge, from, to) < reach + badge.width / 2,
  );
  const words = obstacles.words.filter((box) => distance(middleOf(box), from, to) < reach + (box.x1 - box.x0) / 2);
  let best = { points: bent(from, to, 0), bend: 0, cost: Number.POSITIVE_INFINITY };
  for (const part of BENDS) {
    const least = 0.03 * Math.abs(part);
    if (best.cost <= least) break;
    const points = bent(from, to, part * style.size);
    const hit = badges.filter((badge) => runsOver(points, badge, 0.25 * style.size)).length;
    const struck = words.filter((box) => runsThrough(points, box)).length;
    const cost = least + hit + (liesOnOther(points, obstacles.used) ? 1 : 0) + 0.4 * struck;
    if (cost < best.cost) best = { points, bend: part * style.size, cost };
  }
  const pen = { stroke: style.colour, weight: 0.13 * style.size, ...(style.dash ? { dash: style.dash } : {}) };
  return { points: best.points, bend: best.bend, box: extentOf(best.points), pen };
}

/** Off the straight line, in sizes; the flattest first. */
const BENDS = [0, -1.1, 1.1, -2, 2, -3.2, 3.2];

function middleOf(box: Box): Point {
  return { x: (box.x0 + box.x1) / 2, y: (box.y0 + box.y1) / 2 };
}

function boxAround(from: Point, to: Point, margin: number): Box {
  return {
    x0: Math.min(from.x, to.x) - margin,
    y0: Math.min(from.y, to.y) - margin,
    x1: Math.max(from.x, to.x) + margin,
    y1: Math.max(from.y, to.y) + margin,
  };
}

function holds(box: Box, point: Point): boolean {
  return point.x > box.x0 && point.x < box.x1 && point.y > box.y0 && point.y < box.y1;
}

function boxesMeet(a: Box, b: Box): boolean {
  return a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1;
}

/** Tried every three points along it. */
function runsThrough(points: readonly Point[], box: Box): boolean {
  for (let index = 1; index < points.length; index += 1) {
    const [a, b] = [points[index - 1] as Point, points[index] as Point];
    if (!boxesMeet(boxAround(a, b, 0.01), box)) continue;
    const steps = Math.ceil(Math.hypot(b.x - a.x, b.y - a.y) / 3);
    for (let at = 0; at <= steps; at += 1) {
      if (holds(box, { x: a.x + ((b.x - a.x) * at) / steps, y: a.y + ((b.y - a.y) * at) / steps })) return true;
    }
  }
  return false;
}

/** A shallow bow: a quadratic curve through points, `bend` off the straight line in its middle. */
function bent(from: Badge, to: Badge, bend: number): readonly Point[] {
  const length = Math.hypot(to.x - from.x, to.y - from.y) || 1;
  const across = { x: (-(to.y - from.y) / length) * bend, y: ((to.x - from.x) / length) * bend };
  const count = bend === 0 ? 1 : PIECES;
  return Array.from({ length: count + 1 }, (_, index) => {
    const t = index / count;
    const off = 4 * t * (1 - t);
    return { x: from.x + (to.x - from.x) * t + across.x * off, y: from.y + (to.y - from.y) * t + across.y * off };
  });
}

function runsOver(points: readonly Point[], badge: Badge, margin: number): boolean {
  const radius = Math.max(badge.width, badge.height) / 2 + margin;
  for (let index = 1; index < points.length; index += 1) {
    const [a, b] = [points[index - 1], points[index]];
    if (a && b && distance(badge, a, b) < radius) return true;
  }
  return false;
}

/** Along the same line as an earlier leg, there or back. */
function liesOnOther(points: readonly Point[], used: readonly DrawnLeg[]): boolean {
  const middle = points[Math.floor(points.length / 2)];
  const [first, last] = [points[0], points.at(-1)];
  if (!middle || !first || !last) return false;
  const probe = points.length === 2 ? { x: (first.x + last.x) / 2, y: (first.y + last.y) / 2 } : middle;
  return used.some(
    (leg) => holds(leg.box, probe) && passes(leg.points, probe, { x: last.x - first.x, y: last.y - first.y }),
  );
}

/** Comes by a point in about the direction `along`, or against it. */
function passes(points: readonly Point[], point: Point, along: Point): boolean {
  for (let index = 1; index < points.length; index += 1) {
    const a = points[index - 1] as Point;
    const b = points[index] as Point;
    const turn = Math.abs((b.x - a.x) * along.y - (b.y - a.y) * along.x);
    const lengths = Math.hypot(b.x - a.x, b.y - a.y) * Math.hypot(along.x, along.y);
    if (turn < 0.12 * lengths && distance(point, a, b) < 2) return true;
  }
  return false;
}

/** From a point to the nearest of a straight piece. */
function distance(point: Point, a: Point, b: Point): number {
  const dx = b.x - a.x;
  const dy = b.y - a.y;
  const along = ((point.x - a.x) * dx + (point.y - a.y) * dy) / (dx * dx + dy * dy || 1);
  const t = Math.max(0, Math.min(1, along));
  const x = point.x - a.x - dx * t;
  const y = point.y - a.y - dy * t;
  return Math.sqrt(x * x + y * y);
}

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

/** With room for the width of a line. */
function extentOf(points: readonly Point[]): Box {
  const box = { x0: Infinity, y0: Infinity, x1: -Infinity, y1: -Infinity };
  for (const { x, y } of points) {
    box.x0 = Math.min(box.x0, x - 2);
    box.y0 = Math.min(box.y0, y - 2);
    box.x1 = Math.max(box.x1, x + 2);
    box.y1 = Math.max(box.y1, y + 2);
  }
  return box;
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

function stroke(leg: DrawnLeg): Mark {
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
export function stubMarks(
  badge: Badge,
  towards: Point,
  leaving: boolean,
  number: string,
  style: LegStyle,
): readonly Mark[] {
  const length = Math.hypot(towards.x - badge.x, towards.y - badge.y) || 1;
  const [ux, uy] = [(towards.x - badge.x) / length, (towards.y - badge.y) / length];
  const end = { x: badge.x + ux * 2.6 * style.size, y: badge.y + uy * 2.6 * style.size };
  const pen = { stroke: style.colour, weight: 0.13 * style.size, ...(style.dash ? { dash: style.dash } : {}) };
  const points = leaving ? [badge, end] : [end, badge];
  const leg: DrawnLeg = { points, bend: 0, box: extentOf(points), pen };
  const at = { x: end.x + ux * 0.7 * style.size, y: end.y + uy * 0.7 * style.size };
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
