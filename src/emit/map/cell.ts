import type { Face } from "../drawing/marks.js";
import type { Measure } from "../drawing/measure.js";
import { wrap } from "../drawing/wrap.js";
import type { PanelBox, Spot } from "./site.js";

/** The room around a thing that is its own: half of the way to its neighbours, or to the edge of its panel. Millimetres. */
export interface Cell {
  readonly half: number;
  readonly up: number;
  readonly down: number;
}

/** Things this far apart up and down stand in one row, and have to share its width. */
const ROW = 9;
const MOST = 22;

export function cellsOf(spots: readonly Spot[], panels: readonly PanelBox[]): ReadonlyMap<string, Cell> {
  const byPanel = new Map<string, Spot[]>();
  for (const spot of spots) byPanel.set(spot.panel, [...(byPanel.get(spot.panel) ?? []), spot]);
  const boxes = new Map(panels.map((panel) => [panel.id, panel]));
  const cells = new Map<string, Cell>();
  for (const group of byPanel.values())
    for (const spot of group) cells.set(spot.id, cellOf(spot, group, boxes.get(spot.panel)));
  return cells;
}

function cellOf(spot: Spot, group: readonly Spot[], panel: PanelBox | undefined): Cell {
  const others = group.filter((other) => other !== spot);
  const row = others.filter((other) => Math.abs(other.y - spot.y) < ROW).map((other) => Math.abs(other.x - spot.x) / 2);
  const inColumn = others.filter((other) => Math.abs(other.x - spot.x) < MOST);
  const above = inColumn.filter((other) => other.y <= spot.y - ROW).map((other) => (spot.y - other.y) / 2);
  const below = inColumn
    .filter((other) => other.y >= spot.y + ROW)
    .map((other) => other.y - spot.y - (other.kind === "light" ? 4 : 5));
  const edge = panel ? [spot.x - panel.x, panel.x + panel.width - spot.x] : [];
  const foot = panel ? [panel.y + panel.height - spot.y] : [];
  const least = (values: readonly number[], least: number) => Math.max(least, Math.min(MOST, ...values));
  return { half: least([...row, ...edge], 6), up: least(above, 4), down: least([...below, ...foot], 6) };
}

/** A text in its room: as large as it will go, from `most` down to `least` points. */
export interface Fitted {
  readonly size: number;
  readonly lines: readonly string[];
}

export function fitText(
  text: string,
  face: Face,
  room: { readonly width: number; readonly height: number },
  sizes: { readonly most: number; readonly least: number },
  measure: Measure,
): Fitted {
  for (let size = sizes.most; ; size *= 0.92) {
    const lines = wrap(text, room.width, { face, size }, measure);
    const whole = Math.max(...text.split(/\s+/).map((word) => measure.width(word, face, size))) <= room.width;
    if ((whole && lines.length * 1.15 * size <= room.height) || size <= sizes.least) return { size, lines };
  }
}
