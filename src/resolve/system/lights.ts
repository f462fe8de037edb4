import { type FindingKind, finding } from "../../diagnostics/finding.js";
import type { Condition } from "../../program/condition.js";
import type { Colour, Group, Light, LightSet } from "../../program/system.js";
import { entry, type MapNode } from "../../syntax/tree.js";
import { inSystem } from "../condition/purpose.js";
import { example } from "../example.js";
import { wrongKind } from "../names/complaints.js";
import { lookupOne } from "../names/lookup.js";
import { called, type Member, type NameTable } from "../names/table.js";
import { asMap, isTrue, present, scalarAt, textAt } from "../read.js";
import { placeOf } from "./controls.js";
import { type Building, conditionAt, thingFields } from "./scope.js";

export const LIGHT_WITHOUT_CAUSE: FindingKind = {
  code: "light/without-cause",
  severity: "error",
  summary: "A light is latched or cancelled, and nothing lights it.",
  why: "`latched-until` keeps a light on after its cause has gone, and `cancelled-by` puts it out while the cause lasts: both need the cause.",
  bad: example({ system: "lights:\n  flood: { label: FLOOD, latched-until: test is test }" }),
  good: example({ system: "lights:\n  flood: { label: FLOOD, lit-when: pump is on, latched-until: test is test }" }),
};

export const COLOURS: readonly Colour[] = ["red", "amber", "green", "blue", "white", "cyan"];

const ALERTS = ["warning", "caution", "advisory"] as const;

/** A light that only flashes is lit when it flashes, so `litWhen` is there wherever the light has logic. */
export function buildLight(member: Member, map: MapNode, building: Building): Light {
  const flashingWhen = conditionAt(map, "flashing-when", member, building, inSystem("`flashing-when`"));
  const litWhen = conditionAt(map, "lit-when", member, building, inSystem("`lit-when`"));
  const within = controlAround(member, map, building);
  return {
    ...thingFields(member, map, building),
    kind: "light",
    sound: isTrue(map, "sound"),
    ...present({
      colour: COLOURS.find((colour) => colour === textAt(map, "colour")),
      alert: ALERTS.find((alert) => alert === textAt(map, "alert")),
      litWhen: litWhen ?? (entry(map, "lit-when") ? undefined : flashingWhen),
      flashingWhen,
      latchedUntil: after("latched-until", member, map, building),
      cancelledBy: after("cancelled-by", member, map, building),
      in: within?.id,
    }),
    ...(within ? placeOf(within.id, asMap(within.family.node) ?? map, building) : {}),
    ...placeOf(member.id, map, building),
  };
}

export function buildLightSets(names: NameTable): ReadonlyMap<string, LightSet> {
  const sets = new Map<string, LightSet>();
  for (const [id, members] of names.groups) {
    const family = names.families.get(id);
    if (family?.kind !== "light set") continue;
    const label = family.node.kind === "map" ? textAt(family.node, "label") : undefined;
    const lights = members.map((member) => member.id);
    sets.set(id, { id, label: label ?? id.replaceAll("-", " "), lights, span: family.span });
  }
  return sets;
}

export function buildGroups(names: NameTable): ReadonlyMap<string, Group> {
  const groups = new Map<string, Group>();
  for (const [id, members] of names.groups) {
    const family = names.families.get(id);
    if (family?.kind === "group")
      groups.set(id, { id, members: members.map((member) => member.id), span: family.span });
  }
  return groups;
}

function after(
  key: "latched-until" | "cancelled-by",
  member: Member,
  map: MapNode,
  building: Building,
): Condition | undefined {
  const written = entry(map, key);
  if (!written) return undefined;
  if (!member.family.logic) {
    building.report(
      finding(LIGHT_WITHOUT_CAUSE, written.key.span, `\`${member.family.id}\` has \`${key}\` and no \`lit-when\``, {
        help: ["say what lights it under `lit-when`"],
        subject: { thing: member.family.id },
      }),
    );
    return undefined;
  }
  return conditionAt(map, key, member, building, inSystem(`\`${key}\``));
}

function controlAround(member: Member, map: MapNode, building: Building): Member | undefined {
  const written = scalarAt(map, "in");
  if (!written) return undefined;
  const sought = { what: "the name of a control", kinds: ["control"] as const };
  const scene = { names: building.names, report: building.report, side: member.side };
  const control = lookupOne(written.text, written.span, scene, sought);
  if (!control || control.family.kind === "control") return control;
  const message = `\`${written.text}\` is ${called(control.family.kind)}: a light sits in a control`;
  building.report(wrongKind(written.text, written.span, message, "name a control, or the `panel` the light is on"));
  return undefined;
}
