import type { Finding } from "../../diagnostics/finding.js";
import { KEYWORDS } from "../../syntax/condition/words.js";
import { type Entry, entry, type MapNode, type Node, type ScalarNode } from "../../syntax/tree.js";
import { asMap, entriesAt, firstEntries, itemsAt, scalarsAt, textAt, valueAt } from "../read.js";
import { reserved, twice } from "./complaints.js";
import { groupsOf } from "./groups.js";
import { called, type Family, type FamilyKind, type Member, membersOf, type NameTable } from "./table.js";

/** Gathers every name that a system declares, with what conditions and steps may say of it. Conditions are not read yet. */
export function declareNames(system: MapNode, report: (finding: Finding) => void): NameTable {
  const families = new Map<string, Family>();
  for (const [section, kind] of SECTIONS) {
    for (const declaration of firstEntries(entriesAt(system, section))) {
      for (const family of familiesOf(kind, declaration, report)) declare(family, families, report);
    }
  }
  const members = new Map<string, Member>();
  for (const family of families.values()) for (const member of membersOf(family)) members.set(member.id, member);
  const sides = new Set([...families.values()].flatMap((family) => family.sides));
  return groupsOf({ families, members, groups: new Map(), sides }, report);
}

const SECTIONS: readonly (readonly [string, FamilyKind])[] = [
  ["fit", "fit"],
  ["outside", "outside"],
  ["gauges", "gauge"],
  ["controls", "control"],
  ["conditions", "condition"],
  ["equipment", "equipment"],
  ["lights", "light"],
  ["light-sets", "light set"],
  ["groups", "group"],
];

/** Words of conditions, steps and dotted names that a thing cannot be called by. */
const RESERVED: ReadonlySet<string> = new Set([...KEYWORDS, "either", "none", "always", "anytime", "side", "guard"]);

const BANDS = ["normal", "caution", "limits"];

function declare(family: Family, families: Map<string, Family>, report: (finding: Finding) => void): void {
  const first = families.get(family.id);
  if (first) {
    report(twice(family.id, family.span, first.span, `${called(first.kind)} of this system`));
    return;
  }
  if (family.guardOf === undefined && RESERVED.has(family.id)) report(reserved(family.id, family.span));
  families.set(family.id, family);
}

function familiesOf(kind: FamilyKind, { key, value }: Entry, report: (finding: Finding) => void): Family[] {
  const map = asMap(value) ?? emptyMap(value);
  const sides = sidesOf(map, report);
  const family: Family = {
    kind,
    id: key.text,
    sides: [...sides.keys()],
    sideLabels: sides,
    values: valuesOf(kind, map, value),
    springs: springsOf(map),
    fitted: entry(map, "fitted") !== undefined,
    logic: entry(map, "lit-when") !== undefined || entry(map, "flashing-when") !== undefined,
    unit: textAt(map, "unit") ?? "",
    node: value,
    span: key.span,
  };
  const guarded = kind === "control" && entry(map, "guard-holds") !== undefined;
  return guarded ? [family, guardOf(family)] : [family];
}

function guardOf(control: Family): Family {
  const own = { id: `${control.id}.guard`, values: ["closed", "open"], springs: new Map(), guardOf: control.id };
  return { ...control, ...own };
}

function emptyMap({ span }: Node): MapNode {
  return { kind: "map", entries: [], flow: true, span };
}

function sidesOf(map: MapNode, report: (finding: Finding) => void): Map<string, string> {
  const sides = new Map<string, string>();
  const first = new Map<string, ScalarNode>();
  for (const [key, label] of writtenSides(map)) {
    const earlier = first.get(key.text);
    if (earlier) report(twice(key.text, key.span, earlier.span, "a side of the same thing"));
    else if (key.text === "side" || key.text === "guard") report(reserved(key.text, key.span));
    else sides.set(key.text, label);
    if (!earlier) first.set(key.text, key);
  }
  return sides;
}

function writtenSides(map: MapNode): (readonly [ScalarNode, string])[] {
  if (valueAt(map, "sides")?.kind === "list") return scalarsAt(map, "sides").map((side) => [side, side.text]);
  return entriesAt(map, "sides").map(({ key, value }) => [key, value.kind === "scalar" ? value.text : key.text]);
}

function valuesOf(kind: FamilyKind, map: MapNode, node: Node): string[] {
  switch (kind) {
    case "fit":
      return node.kind === "list" ? texts(node.items) : [];
    case "outside":
    case "equipment":
      return texts(itemsAt(map, "states"));
    case "control":
      return [...texts(itemsAt(map, "positions")), ...entriesAt(map, "positions").map(({ key }) => key.text)];
    case "gauge":
      return BANDS.filter((band) => entry(map, band) !== undefined);
    case "light":
      return lightStates(map);
    default:
      return [];
  }
}

/** A light whose logic is known flashes only where it says so. */
function lightStates(map: MapNode): string[] {
  const steady = entry(map, "lit-when") !== undefined && entry(map, "flashing-when") === undefined;
  return steady ? ["lit", "out"] : ["lit", "out", "flashing"];
}

function springsOf(map: MapNode): Map<string, string> {
  const springs = new Map<string, string>();
  for (const { key, value } of entriesAt(map, "springs")) {
    if (value.kind === "scalar" && !springs.has(key.text)) springs.set(key.text, value.text);
  }
  return springs;
}

function texts(nodes: readonly Node[]): string[] {
  return [...new Set(nodes.flatMap((node) => (node.kind === "scalar" ? [node.text] : [])))];
}
