import { INK, line, type Mark, PAPER, type Pen } from "../drawing/marks.js";
import type { Measure } from "../drawing/measure.js";
import type { Act, Stop } from "./stops.js";

/** A numbered sign at a stop; its shape tells what is done there. Points; `x`, `y` is its middle. */
export interface Badge {
  readonly stop: Stop;
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

export function badgeSize(
  number: string,
  act: Act,
  size: number,
  measure: Measure,
): { readonly width: number; readonly height: number } {
  const text = measure.width(number, "bold", size);
  const height = 1.5 * size;
  if (act === "observe") return { width: Math.max(text + 1.5 * size, 2.1 * size), height: 2.1 * size };
  return { width: Math.max(text + 0.7 * size, height), height };
}

/** Black square: set. White square: made sure of. Round: looked at. Diamond: lights looked at together. */
export function badgeMarks(badge: Badge, size: number): readonly Mark[] {
  const { x, y, width, height, stop } = badge;
  const dark = stop.act === "set";
  const text: Mark = {
    kind: "text",
    x,
    y: y + 0.36 * size,
    text: stop.number,
    face: "bold",
    size,
    anchor: "middle",
    fill: dark ? PAPER : INK,
  };
  return [outline(badge, x, y, width, height, { fill: dark ? INK : PAPER, stroke: INK, weight: 0.11 * size }), text];
}

function outline(badge: Badge, x: number, y: number, width: number, height: number, pen: Pen): Mark {
  if (badge.stop.act === "observe") return diamond(x, y, width, height, pen);
  const radius = badge.stop.act === "check" ? height / 2 : 0;
  return { kind: "rect", x: x - width / 2, y: y - height / 2, width, height, ...pen, ...(radius ? { radius } : {}) };
}

/** Also the small sign of a light that is looked at from another's stop. */
export function diamond(x: number, y: number, width: number, height: number, pen: Pen): Mark {
  const points = [
    { x, y: y - height / 2 },
    { x: x + width / 2, y },
    { x, y: y + height / 2 },
    { x: x - width / 2, y },
  ];
  return line(points, pen, true);
}
