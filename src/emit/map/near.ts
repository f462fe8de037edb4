import type { Point } from "../drawing/marks.js";
import type { Badge } from "./badge.js";

/** A rectangle, in points. */
export interface Box {
  readonly x0: number;
  readonly y0: number;
  readonly x1: number;
  readonly y1: number;
}

export function middleOf(box: Box): Point {
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

export function holds(box: Box, point: Point): boolean {
  return point.x > box.x0 && point.x < box.x1 && point.y > box.y0 && point.y < box.y1;
}

export function boxesMeet(a: Box, b: Box): boolean {
  return a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1;
}

/** Tried every three points along it. */
export function runsThrough(points: readonly Point[], box: Box): boolean {
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

export function runsOver(points: readonly Point[], badge: Badge, margin: number): boolean {
  const radius = Math.max(badge.width, badge.height) / 2 + margin;
  for (let index = 1; index < points.length; index += 1) {
    const [a, b] = [points[index - 1], points[index]];
    if (a && b && distance(badge, a, b) < radius) return true;
  }
  return false;
}

/** From a point to the nearest of a straight piece. */
export function distance(point: Point, a: Point, b: Point): number {
  const dx = b.x - a.x;
  const dy = b.y - a.y;
  const along = ((point.x - a.x) * dx + (point.y - a.y) * dy) / (dx * dx + dy * dy || 1);
  const t = Math.max(0, Math.min(1, along));
  const x = point.x - a.x - dx * t;
  const y = point.y - a.y - dy * t;
  return Math.sqrt(x * x + y * y);
}

/** With room for the width of a line. */
export function extentOf(points: readonly Point[]): Box {
  const box = { x0: Infinity, y0: Infinity, x1: -Infinity, y1: -Infinity };
  for (const { x, y } of points) {
    box.x0 = Math.min(box.x0, x - 2);
    box.y0 = Math.min(box.y0, y - 2);
    box.x1 = Math.max(box.x1, x + 2);
    box.y1 = Math.max(box.y1, y + 2);
  }
  return box;
}
