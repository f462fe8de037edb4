import { type Finding, type FindingKind, finding } from "../../diagnostics/finding.js";
import type { Program } from "../../program/program.js";
import type { Control, Gauge, Light, Panel, System } from "../../program/system.js";
import { nameOf } from "../card/names.js";

export const PANELS_OVERLAP: FindingKind = {
  code: "map/panels-overlap",
  severity: "warning",
  summary: "Two panels of one area lie over each other.",
  why: "A map that shows a switch under another panel sends the hand to the wrong place. The measures are wrong, or the panels are in different areas.",
  bad: example(
    "  desk: { title: DESK, at: [0, 0], size: [100, 80], places: { pump: [20, 20] } }\n  rack: { title: RACK, at: [90, 0], size: [60, 80], places: { valve: [30, 30] } }",
  ),
  good: example(
    "  desk: { title: DESK, at: [0, 0], size: [100, 80], places: { pump: [20, 20] } }\n  rack: { title: RACK, at: [110, 0], size: [60, 80], places: { valve: [30, 30] } }",
  ),
};

export const OFF_PANEL: FindingKind = {
  code: "map/off-panel",
  severity: "warning",
  summary: "A thing is placed outside of its panel.",
  why: "Places are counted from the upper left corner of the panel, in millimetres: one outside of it is a slip of the pen, and lengths of the way there come out wrong.",
  bad: example("  desk: { title: DESK, at: [0, 0], size: [100, 80], places: { pump: [120, 20], valve: [30, 30] } }"),
  good: example("  desk: { title: DESK, at: [0, 0], size: [100, 80], places: { pump: [20, 20], valve: [30, 50] } }"),
};

export const ONE_PLACE: FindingKind = {
  code: "map/one-place",
  severity: "warning",
  summary: "Two things are placed on the same spot of a panel.",
  why: "No two knobs are nearer to each other than a finger is wide; the map draws one over the other. A light in a control, and a guard over one, need no place of their own.",
  bad: example("  desk: { title: DESK, at: [0, 0], size: [100, 80], places: { pump: [20, 20], valve: [21, 20] } }"),
  good: example("  desk: { title: DESK, at: [0, 0], size: [100, 80], places: { pump: [20, 20], valve: [50, 20] } }"),
};

export const MAP_KINDS: readonly FindingKind[] = [PANELS_OVERLAP, OFF_PANEL, ONE_PLACE];

/** What is wrong with the places of panels and of things on them. The map is drawn all the same. */
export function mapFindings(program: Program): readonly Finding[] {
  return [...program.systems.values()].flatMap((system) => [
    ...overlapping(system),
    ...offPanel(system),
    ...onePlace(system),
  ]);
}

/** Measures are taken to the millimetre: panels that touch, or lap over by less than this, are side by side. */
const SLACK = 1;
/** Nearer than this two things are on one spot. Common practice, no published source. */
const FINGER = 4;

type Placed<T> = T & { readonly at: readonly [number, number] };
type Thing = Control | Gauge | Light;

function overlapping(system: System): readonly Finding[] {
  const panels = [...system.panels.values()].filter(
    (panel): panel is Sized => panel.at !== undefined && panel.size !== undefined,
  );
  return pairs(panels)
    .filter(([one, two]) => one.area === two.area && lapOver(one, two))
    .map(([one, two]) =>
      finding(PANELS_OVERLAP, two.span, `panel \`${two.id}\` lies over \`${one.id}\``, {
        labels: [{ at: one.span, text: "the other panel" }],
        help: ["correct `at` or `size`, or name different areas"],
        subject: { thing: two.id },
      }),
    );
}

type Sized = Panel & { readonly at: readonly [number, number]; readonly size: readonly [number, number] };

function lapOver(one: Sized, two: Sized): boolean {
  const along = (axis: 0 | 1) =>
    Math.min(one.at[axis] + one.size[axis], two.at[axis] + two.size[axis]) - Math.max(one.at[axis], two.at[axis]);
  return along(0) > SLACK && along(1) > SLACK;
}

function offPanel(system: System): readonly Finding[] {
  return placedThings(system).flatMap((thing) => {
    const panel = thing.panel === undefined ? undefined : system.panels.get(thing.panel);
    if (!panel?.size) return [];
    const [x, y] = thing.at;
    if (x >= 0 && y >= 0 && x <= panel.size[0] && y <= panel.size[1]) return [];
    const message = `\`${thing.id}\` is placed at ${x}, ${y}, off panel \`${panel.id}\` of ${panel.size[0]} by ${panel.size[1]} mm`;
    return [
      finding(OFF_PANEL, thing.span, message, {
        labels: [{ at: panel.span, text: "its panel" }],
        help: ["count the place from the upper left corner of the panel"],
        subject: { thing: thing.id },
      }),
    ];
  });
}

function onePlace(system: System): readonly Finding[] {
  return pairs(placedThings(system))
    .filter(
      ([one, two]) => one.panel === two.panel && Math.hypot(one.at[0] - two.at[0], one.at[1] - two.at[1]) < FINGER,
    )
    .map(([one, two]) => {
      const message = `\`${two.id}\` (${nameOf(system, two.id)}) is placed where \`${one.id}\` (${nameOf(system, one.id)}) is`;
      return finding(ONE_PLACE, two.span, message, {
        labels: [{ at: one.span, text: "the other" }],
        help: ["correct one of the two places", "say `in:` of a light that sits in a control"],
        subject: { thing: two.id },
      });
    });
}

function placedThings(system: System): readonly Placed<Thing>[] {
  const things: readonly Thing[] = [...system.controls.values(), ...system.gauges.values(), ...system.lights.values()];
  return things.filter((thing): thing is Placed<Thing> => {
    const inControl =
      (thing.kind === "light" && thing.in !== undefined) || (thing.kind === "control" && thing.guards !== undefined);
    return thing.at !== undefined && !inControl;
  });
}

function pairs<T>(list: readonly T[]): readonly (readonly [T, T])[] {
  return list.flatMap((one, index) => list.slice(index + 1).map((two) => [one, two] as const));
}

function example(layout: string): Readonly<Record<string, string>> {
  const controls =
    "  pump: { label: PUMP, positions: [off, on] }\n  valve: { label: VALVE, positions: [closed, open] }\n";
  return {
    "systems/bilge.yaml": `kind: system\nid: bilge\ntitle: Bilge system (fictional)\ncontrols:\n${controls}layout:\n${layout}\n`,
    "procedures/pump-out.yaml":
      "kind: procedure\nid: pump-out\ntitle: Pump out\ncategory: normal\nsteps:\n  - set: { pump: on }\n",
  };
}
