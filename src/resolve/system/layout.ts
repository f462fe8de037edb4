import { type Finding, type FindingKind, finding } from "../../diagnostics/finding.js";
import type { Panel } from "../../program/system.js";
import { type Entry, entry, type MapNode, type ScalarNode } from "../../syntax/tree.js";
import { example } from "../example.js";
import { twice, wrongKind } from "../names/complaints.js";
import { lookupOne } from "../names/lookup.js";
import { called, type NameTable } from "../names/table.js";
import { pairAt, pairOf } from "../numbers.js";
import { asMap, entriesAt, firstEntries, present, scalarAt, textAt } from "../read.js";
import type { Scene } from "../scene.js";

/** Where a thing is: its panel, and millimetres from the panel's top left corner. */
export interface Place {
  readonly panel: string;
  readonly at: readonly [number, number];
  readonly key: ScalarNode;
}

export const LAYOUT_OTHER_PANEL: FindingKind = {
  code: "layout/other-panel",
  severity: "error",
  summary: "A thing is placed on another panel than the one it names.",
  why: "A crew that looks for a switch on the wrong panel loses the time that the card was to save.",
  bad: example({
    controls: "siren: { label: SIREN, panel: wall, positions: [off, on] }",
    system: "layout:\n  desk: { title: DESK, places: { siren: [10, 10] } }",
  }),
  good: example({
    controls: "siren: { label: SIREN, panel: desk, positions: [off, on] }",
    system: "layout:\n  desk: { title: DESK, places: { siren: [10, 10] } }",
  }),
};

/** Full id of a thing to its place, as `layout` says. */
export function readPlaces(
  system: MapNode,
  names: NameTable,
  report: (finding: Finding) => void,
): ReadonlyMap<string, Place> {
  const places = new Map<string, Place>();
  for (const { key: panel, value } of firstEntries(entriesAt(system, "layout"))) {
    const map = asMap(value);
    for (const placed of map ? firstEntries(entriesAt(map, "places")) : []) {
      place(placed, panel.text, places, { names, report });
    }
  }
  return places;
}

/** The panels of `layout`, then those that things name and `layout` does not. */
export function buildPanels(system: MapNode, names: NameTable): ReadonlyMap<string, Panel> {
  const panels = new Map<string, Panel>();
  for (const { key, value } of firstEntries(entriesAt(system, "layout"))) {
    const map = asMap(value);
    if (!map) continue;
    const title = textAt(map, "title") ?? key.text.toUpperCase();
    const where = { area: textAt(map, "area"), at: pairAt(map, "at"), size: pairAt(map, "size") };
    panels.set(key.text, { id: key.text, title, ...present(where), span: key.span });
  }
  for (const { node } of names.families.values()) {
    const named = node.kind === "map" ? scalarAt(node, "panel") : undefined;
    if (named?.text && !panels.has(named.text)) {
      panels.set(named.text, {
        id: named.text,
        title: named.text.replaceAll("-", " ").toUpperCase(),
        span: named.span,
      });
    }
  }
  return panels;
}

function place({ key, value }: Entry, panel: string, places: Map<string, Place>, scene: Scene): void {
  const at = pairOf(value);
  const member = lookupOne(key.text, key.span, scene);
  if (!member || !at) return;
  const { kind, node } = member.family;
  if (kind !== "control" && kind !== "light" && kind !== "gauge") {
    const message = `\`${key.text}\` is ${called(kind)}, which has no place on a panel`;
    scene.report(wrongKind(key.text, key.span, message, "place controls, lights and gauges"));
    return;
  }
  const earlier = places.get(member.id);
  const own = node.kind === "map" ? entry(node, "panel")?.value : undefined;
  if (earlier) scene.report(twice(member.id, key.span, earlier.key.span, "a thing that has its place"));
  else if (own?.kind === "scalar" && own.text !== panel) scene.report(otherPanel(key, panel, own));
  else places.set(member.id, { panel, at, key });
}

function otherPanel(key: ScalarNode, panel: string, own: ScalarNode): Finding {
  return finding(
    LAYOUT_OTHER_PANEL,
    key.span,
    `\`${key.text}\` is placed on \`${panel}\` and names \`${own.text}\` as its panel`,
    {
      labels: [{ at: own.span, text: "its panel, as declared" }],
      help: [`move its place to \`${own.text}\`, or let it name \`${panel}\``],
      subject: { thing: key.text },
    },
  );
}
