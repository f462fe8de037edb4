import type { Measure } from "../drawing/measure.js";
import { type Badge, badgeSize } from "./badge.js";
import type { Cell } from "./cell.js";
import { plateOf } from "./glyph.js";
import type { Spot } from "./site.js";
import type { Stop } from "./stops.js";

/** A badge for each stop; several at one place stand in rows, in the order in which they are come to. */
export function badgesAt(
  stops: readonly Stop[],
  spots: ReadonlyMap<string, Spot>,
  cells: ReadonlyMap<string, Cell>,
  look: { readonly measure: Measure; readonly size: number; readonly scale: number },
): ReadonlyMap<Stop, Badge> {
  const byThing = new Map<string, Stop[]>();
  for (const stop of stops) byThing.set(stop.thing, [...(byThing.get(stop.thing) ?? []), stop]);
  const badges = new Map<Stop, Badge>();
  for (const [thing, own] of byThing) {
    const [spot, cell] = [spots.get(thing), cells.get(thing)];
    if (!spot || !cell) continue;
    for (const badge of rowsAt(own, anchorOf(spot, cell, look), 2 * cell.half * look.scale, look))
      badges.set(badge.stop, badge);
  }
  return badges;
}

/** On the knob or dial itself; at the upper left corner of a light's plate, and a little above it, so that its name stays readable. */
function anchorOf(
  spot: Spot,
  cell: Cell,
  { scale, size }: { readonly scale: number; readonly size: number },
): { readonly x: number; readonly y: number; readonly left: boolean } {
  if (spot.kind !== "light") return { x: spot.x * scale, y: spot.y * scale, left: false };
  const plate = plateOf(cell);
  return { x: (spot.x - plate.half) * scale, y: (spot.y - plate.high) * scale - 0.4 * size, left: true };
}

function rowsAt(
  stops: readonly Stop[],
  anchor: { readonly x: number; readonly y: number; readonly left: boolean },
  room: number,
  look: { readonly measure: Measure; readonly size: number },
): readonly Badge[] {
  const sized = stops.map((stop) => ({ stop, ...badgeSize(stop.number, stop.act, 0.8 * look.size, look.measure) }));
  const rows: (typeof sized)[] = [];
  for (const one of sized) {
    const row = rows.at(-1);
    const width = row?.reduce((sum, other) => sum + other.width + 1.5, 0) ?? 0;
    if (row && width + one.width <= room) row.push(one);
    else rows.push([one]);
  }
  return rows.flatMap((row, index) => {
    const width = row.reduce((sum, one) => sum + one.width + 1.5, -1.5);
    let x = anchor.left ? anchor.x - (row[0]?.width ?? 0) / 2 : anchor.x - width / 2;
    const y = anchor.y - index * 1.9 * look.size;
    return row.map((one): Badge => {
      const badge = { ...one, x: x + one.width / 2, y };
      x += one.width + 1.5;
      return badge;
    });
  });
}
