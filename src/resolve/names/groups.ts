import type { Finding } from "../../diagnostics/finding.js";
import type { Node, ScalarNode } from "../../syntax/tree.js";
import type { Scene } from "../scene.js";
import { twice, wrongKind } from "./complaints.js";
import { lookup } from "./lookup.js";
import { called, type Family, type Member, type NameTable } from "./table.js";

/** Spells out the groups and light sets: a bare sided name in one stands for all its sides. A group holds things, never groups. */
export function groupsOf(names: NameTable, report: (finding: Finding) => void): NameTable {
  const groups = new Map<string, readonly Member[]>();
  for (const family of names.families.values()) {
    if (family.kind === "group" || family.kind === "light set") {
      groups.set(family.id, spellOut(family, { names, report }));
    }
  }
  return { ...names, groups };
}

function spellOut(family: Family, scene: Scene): Member[] {
  const members = new Map<string, Member>();
  const first = new Map<string, ScalarNode>();
  for (const item of itemsOf(family.node)) {
    for (const member of item.kind === "scalar" ? named(item, family, scene) : []) {
      const earlier = first.get(member.id);
      if (earlier && item.kind === "scalar") {
        scene.report(twice(member.id, item.span, earlier.span, `a member of \`${family.id}\``));
      } else if (item.kind === "scalar") {
        first.set(member.id, item);
        members.set(member.id, member);
      }
    }
  }
  return [...members.values()];
}

function itemsOf(node: Node): readonly Node[] {
  if (node.kind === "list") return node.items;
  const lights = node.kind === "map" ? node.entries.find(({ key }) => key.text === "lights")?.value : undefined;
  return lights?.kind === "list" ? lights.items : [];
}

function named({ text, span }: ScalarNode, family: Family, scene: Scene): readonly Member[] {
  const lights = family.kind === "light set";
  const found = lookup(text, span, scene, lights ? { what: "the name of a light", kinds: ["light"] } : undefined);
  if (!found) return [];
  const kind = found.family.kind;
  const fits = lights ? kind === "light" : kind !== "group" && kind !== "light set" && kind !== "fit";
  if (fits) return found.members;
  const holds = lights ? "lights" : "things";
  const message = `\`${text}\` is ${called(kind)}, and ${called(family.kind)} holds ${holds} only`;
  scene.report(wrongKind(text, span, message, `name ${holds} of the system`));
  return [];
}
