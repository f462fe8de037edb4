import type { System } from "../../program/system.js";
import type { Whereabouts } from "./path.js";
import { type Area, areasOf, type PanelBox, type Spot } from "./site.js";

/** All areas on one ground, side by side; millimetres from its top left corner. */
export interface Ground {
  /** By their numbers; `y` is the upper edge of the panels. */
  readonly areas: readonly { readonly title: string; readonly x: number; readonly y: number }[];
  readonly panels: readonly (PanelBox & { readonly area: number })[];
  readonly spots: ReadonlyMap<string, Spot>;
  readonly places: ReadonlyMap<string, Whereabouts>;
  readonly width: number;
  readonly height: number;
}

/** Between areas; and above each, for its name. */
const GAP = 22;
const HEAD = 9;

/** Areas from left to right in the order of the layout, and below each other where the row gets longer than the whole is high. */
export function groundOf(system: System): Ground {
  const areas = areasOf(system);
  const sizes = areas.map((area) => extent(area));
  const surface = sizes.reduce((sum, size) => sum + (size.width + GAP) * (size.height + GAP + HEAD), 0);
  const limit = Math.max(...sizes.map((size) => size.width), 1.5 * Math.sqrt(surface));
  const placed: Placed[] = [];
  let [x, y, shelf] = [0, 0, 0];
  areas.forEach((area, index) => {
    const size = sizes[index] ?? { width: 0, height: 0 };
    if (x > 0 && x + size.width > limit) [x, y, shelf] = [0, y + shelf + GAP, 0];
    const head = area.title === "" ? 0 : HEAD;
    placed.push({ area, index, x, y: y + head, width: size.width, height: size.height });
    x += size.width + GAP;
    shelf = Math.max(shelf, size.height + head);
  });
  return groundFrom(placed);
}

interface Placed {
  readonly area: Area;
  readonly index: number;
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

function groundFrom(placed: readonly Placed[]): Ground {
  const spots = new Map<string, Spot>();
  const places = new Map<string, Whereabouts>();
  for (const { area, index, x, y } of placed) {
    for (const spot of area.spots) {
      const moved = { ...spot, x: spot.x + x, y: spot.y + y };
      spots.set(spot.id, moved);
      places.set(spot.id, { spot: moved, area: index, schematic: area.schematic });
    }
  }
  return {
    areas: placed.map(({ area, x, y }) => ({ title: area.title, x, y })),
    panels: placed.flatMap(({ area, index, x, y }) =>
      area.panels.map((panel) => ({ ...panel, area: index, x: panel.x + x, y: panel.y + y })),
    ),
    spots,
    places,
    width: Math.max(0, ...placed.map((one) => one.x + one.width)),
    height: Math.max(0, ...placed.map((one) => one.y + one.height)),
  };
}

/** With all that stands off its panel. */
function extent(area: Area): { readonly width: number; readonly height: number } {
  const right = [...area.panels.map((panel) => panel.x + panel.width), ...area.spots.map((spot) => spot.x + 8)];
  const low = [...area.panels.map((panel) => panel.y + panel.height), ...area.spots.map((spot) => spot.y + 8)];
  return { width: Math.max(...right), height: Math.max(...low) };
}

/** The part of the ground that some panels take up, as a ground of its own. What is off it keeps its direction in `places`. */
export function partOf(ground: Ground, panels: Ground["panels"]): Ground {
  const x0 = Math.min(...panels.map((panel) => panel.x));
  const y0 = Math.min(...panels.map((panel) => panel.y));
  const keys = new Set(panels.map((panel) => `${panel.area} ${panel.id}`));
  const titled = panels.some((panel) => ground.areas[panel.area]?.title !== "");
  const dy = (titled ? HEAD : 0) - y0;
  const here = [...ground.places.values()].filter(({ spot, area }) => keys.has(`${area} ${spot.panel}`));
  const moved = new Map(here.map(({ spot }) => [spot.id, { ...spot, x: spot.x - x0, y: spot.y + dy }]));
  const boxes = panels.map((panel) => ({ ...panel, x: panel.x - x0, y: panel.y + dy }));
  return {
    areas: ground.areas.map((area, index) => ({
      title: panels.some((panel) => panel.area === index) ? area.title : "",
      x: 0,
      y: dy + y0,
    })),
    panels: boxes,
    spots: moved,
    places: new Map(
      [...ground.places].map(([id, place]) => [
        id,
        { ...place, spot: { ...place.spot, x: place.spot.x - x0, y: place.spot.y + dy } },
      ]),
    ),
    width: Math.max(...boxes.map((panel) => panel.x + panel.width), ...[...moved.values()].map((spot) => spot.x + 8)),
    height: Math.max(...boxes.map((panel) => panel.y + panel.height), ...[...moved.values()].map((spot) => spot.y + 8)),
  };
}
