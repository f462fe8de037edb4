import type { Control, Gauge, Light, Panel, System } from "../program/system.js";
import type { Span } from "../source/file.js";
import { entry } from "../syntax/tree.js";
import { type Places, valueUnder } from "./places.js";

export type PlacedThing = (Control | Gauge | Light) & { readonly at: readonly [number, number] };
export type PlacedPanel = Panel & { readonly at: readonly [number, number]; readonly size: readonly [number, number] };

/** What has a place of its own on a panel: not what sits in a control or stands over one. */
export function placedThings(system: System): readonly PlacedThing[] {
  const things = [...system.controls.values(), ...system.gauges.values(), ...system.lights.values()];
  return things.filter((thing): thing is PlacedThing => {
    const isPart =
      (thing.kind === "light" && thing.in !== undefined) || (thing.kind === "control" && thing.guards !== undefined);
    return thing.at !== undefined && !isPart;
  });
}

export function placedPanels(system: System): readonly PlacedPanel[] {
  return [...system.panels.values()].filter(
    (panel): panel is PlacedPanel => panel.at !== undefined && panel.size !== undefined,
  );
}

/** Where the place was written, under `places` of the panel; the declaration where that is not to be found. */
export function spanOfPlace(system: System, thing: PlacedThing, places: Places): Span {
  const panel = thing.panel === undefined ? undefined : system.panels.get(thing.panel);
  const written = panel && valueUnder(places.after(panel.span), "places");
  const own = written?.kind === "map" ? entry(written, thing.id) : undefined;
  return own?.key.span ?? thing.span;
}

/** Every two of a list. */
export function pairsOf<T>(list: readonly T[]): readonly (readonly [T, T])[] {
  return list.flatMap((one, index) => list.slice(index + 1).map((two) => [one, two] as const));
}
