import type { Point } from "../drawing/marks.js";
import type { Badge } from "./badge.js";
import { type Box, distance, extentOf, holds, middleOf, runsOver, runsThrough } from "./near.js";

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
