import { wrap } from "../drawing/wrap.js";
import type { Grid } from "./grid.js";
import type { Box, Label, Way, Wire } from "./piece.js";
import type { Rect } from "./rect.js";

/** A word beside a line: above a level one, or to one side of an upright one. Undefined where there is no word. */
export function labelAt(
  grid: Grid,
  text: string,
  place: {
    readonly x: number;
    readonly y: number;
    readonly anchor: "start" | "end";
    readonly above: boolean;
    readonly bold?: boolean;
  },
  limit: number,
): Label[] {
  const face = place.bold ? "bold" : "regular";
  const lines = wrap(text, limit, { face, size: grid.size }, grid.measure);
  if (lines.length === 0) return [];
  const width = Math.max(...lines.map((line) => grid.measure.width(line, face, grid.size)));
  const height = lines.length * grid.line;
  const y0 = place.above ? place.y - height : place.y;
  const x0 = place.anchor === "start" ? place.x : place.x - width;
  const rect = { x0, y0, x1: x0 + width, y1: y0 + height };
  return [{ lines, bold: place.bold ?? false, x: place.x, y: y0 + 0.95 * grid.size, anchor: place.anchor, rect }];
}

/** The line from where a piece is left to a shape below it on the same spine. */
export function wireDown(grid: Grid, exit: Way, to: Box): { readonly wire: Wire; readonly labels: readonly Label[] } {
  const points = [
    { x: to.x, y: exit.y },
    { x: to.x, y: to.y },
  ];
  const wire: Wire = { from: exit.id, to: to.node.id, points, arrow: to.node.shape !== "joint", broken: false };
  return { wire, labels: exitLabels(grid, exit, to.x) };
}

/** The word beside the line that leaves a piece whose spine is at `x`. */
export function exitLabels(grid: Grid, exit: Way, x: number): readonly Label[] {
  const place = { x: x + 0.45 * grid.size, y: exit.y + 0.15 * grid.size, anchor: "start", above: false } as const;
  return labelAt(grid, exit.label, place, 8 * grid.size);
}

/** The least length of the line that leaves a piece, with room for its word and an arrow. */
export function gapAfter(grid: Grid, exit: Way): number {
  const labels = exitLabels(grid, exit, 0);
  return labels.length === 0
    ? grid.gap
    : Math.max(grid.wordGap, ...labels.map((label) => label.rect.y1 - exit.y + grid.arrow + 0.2 * grid.size));
}

/** What the line that leaves a piece will take up, `depth` points down from where it begins. */
export function exitRects(grid: Grid, exit: Way | undefined, x: number, depth: number): readonly Rect[] {
  if (!exit) return [];
  return [{ x0: x, x1: x, y0: exit.y, y1: exit.y + depth }, ...exitLabels(grid, exit, x).map((label) => label.rect)];
}
