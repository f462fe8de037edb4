import type { Spot } from "./site.js";
import type { Stop } from "./stops.js";

/** One move of hand and eye, from one place to another. */
export interface Leg {
  readonly from: Spot;
  readonly to: Spot;
  /** Between two areas, which share no measures. */
  readonly walk: boolean;
}

/** The way of one person. */
export interface Path {
  readonly by: string;
  readonly stops: readonly Stop[];
  readonly legs: readonly Leg[];
  /** In millimetres, walks not counted; undefined where a part of it is drawn without places. */
  readonly length?: number;
  /** Times that it goes on to another panel. */
  readonly jumps: number;
  /** Those of them that lead back to a panel which was left before. */
  readonly returns: number;
  readonly walks: number;
}

/** What the path needs to know of a place. */
export interface Whereabouts {
  readonly spot: Spot;
  readonly area: number;
  readonly schematic: boolean;
}

/** The ways of all who do something, in the order in which they begin. */
export function pathsOf(stops: readonly Stop[], places: ReadonlyMap<string, Whereabouts>): readonly Path[] {
  const byPerson = new Map<string, Stop[]>();
  for (const stop of stops) byPerson.set(stop.by, [...(byPerson.get(stop.by) ?? []), stop]);
  return [...byPerson].map(([by, own]) => pathOf(by, own, places));
}

function pathOf(by: string, stops: readonly Stop[], places: ReadonlyMap<string, Whereabouts>): Path {
  const along = stops.flatMap((stop) => places.get(stop.thing) ?? []);
  const legs: Leg[] = [];
  const left = new Set<string>();
  let [length, jumps, returns, walks] = [0, 0, 0, 0];
  along.forEach((to, index) => {
    const from = along[index - 1];
    if (!from || from.spot === to.spot) return;
    const move = moveOf(from, to);
    legs.push({ from: from.spot, to: to.spot, walk: move.walk });
    if (move.walk) walks += 1;
    length += move.length;
    if (!move.jump) return;
    jumps += 1;
    left.add(panelKey(from));
    if (left.has(panelKey(to))) returns += 1;
  });
  const known = !along.some((place) => place.schematic);
  return { by, stops, legs, jumps, returns, walks, ...(known ? { length } : {}) };
}

/** One move of hand and eye. */
export interface Move {
  /** To another panel. */
  readonly jump: boolean;
  /** To another area. */
  readonly walk: boolean;
  /** In millimetres; 0 for a walk, and meaningless where places are not given. */
  readonly length: number;
}

export function moveOf(from: Whereabouts, to: Whereabouts): Move {
  const walk = from.area !== to.area;
  const length = walk ? 0 : Math.hypot(to.spot.x - from.spot.x, to.spot.y - from.spot.y);
  return { jump: panelKey(from) !== panelKey(to), walk, length };
}

function panelKey(place: Whereabouts): string {
  return `${place.area} ${place.spot.panel}`;
}
