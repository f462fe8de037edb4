import type { Finding } from "../../diagnostics/finding.js";
import type { Condition } from "../../program/condition.js";
import type { Thing } from "../../program/system.js";
import type { MapNode } from "../../syntax/tree.js";
import { fitOnly, type Purpose } from "../condition/purpose.js";
import { readCondition } from "../condition/written.js";
import type { Family, FamilyKind, Member, NameTable } from "../names/table.js";
import { asMap, present, scalarAt, textAt } from "../read.js";
import type { Place } from "./layout.js";

/** What the builders of a system's things share. */
export interface Building {
  readonly names: NameTable;
  readonly places: ReadonlyMap<string, Place>;
  readonly report: (finding: Finding) => void;
}

/** Builds one thing for each member of each family of a kind; a builder gives undefined for a hole. */
export function buildAll<T extends Thing>(
  kind: FamilyKind,
  building: Building,
  build: (member: Member, map: MapNode, building: Building) => T | undefined,
): ReadonlyMap<string, T> {
  const built = new Map<string, T>();
  for (const member of building.names.members.values()) {
    if (member.family.kind !== kind) continue;
    const thing = build(member, asMap(member.family.node) ?? emptied(member.family), building);
    if (thing) built.set(member.id, thing);
  }
  return built;
}

/** The fields that every thing has. The label is what is engraved; where none is written, the id in words. */
export function thingFields({ id, family, side }: Member, map: MapNode, building: Building): Thing {
  const sideLabel = side === undefined ? undefined : (family.sideLabels.get(side) ?? side);
  const fitted = conditionAt(map, "fitted", { id, family, side }, building, fitOnly("`fitted`"));
  const label = textAt(map, "label") ?? family.id.replaceAll("-", " ");
  return { id, label, family: family.id, ...present({ side, sideLabel, fitted }), span: family.span };
}

/** The condition under a key of a thing, in which `.side` is the thing's own side. */
export function conditionAt(
  map: MapNode,
  key: string,
  { side }: Member,
  building: Building,
  purpose: Purpose,
): Condition | undefined {
  return readCondition(scalarAt(map, key), { names: building.names, report: building.report, side }, purpose);
}

function emptied({ node }: Family): MapNode {
  return { kind: "map", entries: [], flow: true, span: node.span };
}
