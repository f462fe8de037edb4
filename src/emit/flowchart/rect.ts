/** A rectangle, or a level or upright line of no thickness, in points. */
export interface Rect {
  readonly x0: number;
  readonly y0: number;
  readonly x1: number;
  readonly y1: number;
}

/** Further down than any chart reaches. */
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

export function movedRect(rect: Rect, dx: number, dy: number): Rect {
  return { x0: rect.x0 + dx, y0: rect.y0 + dy, x1: rect.x1 + dx, y1: rect.y1 + dy };
}

export function mirroredRect(rect: Rect): Rect {
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
