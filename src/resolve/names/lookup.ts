import { suggest } from "../../diagnostics/suggest.js";
import type { Span } from "../../source/file.js";
import type { Scene } from "../scene.js";
import { noSide, unknownName, whichSide } from "./complaints.js";
import { called, type Family, type FamilyKind, type Member, memberId } from "./table.js";

/** What a name stands for: one thing, or the several of a bare sided name, a group or a light set. */
export interface Found {
  readonly family: Family;
  readonly members: readonly Member[];
  /** False for a bare sided name, a group and a light set, also where they hold one thing only. */
  readonly single: boolean;
}

/** Looks a dotted name up; undefined where it was reported. `what` says what is looked for, of which kinds. */
export function lookup(text: string, at: Span, scene: Scene, sought?: Sought): Found | undefined {
  const [base = "", ...rest] = text.split(".");
  const guard = rest.at(-1) === "guard";
  const family = familyOf(guard ? `${base}.guard` : base, base, at, scene, sought);
  if (!family) return undefined;
  const sides = guard ? rest.slice(0, -1) : rest;
  if (sides.length > 1) return void scene.report(unknownName(text, at, "the name of a thing", []));
  const [side] = sides;
  if (side !== undefined) return sideOf(family, side, text, at, scene);
  return whole(family, scene);
}

/** Looks up a name that must stand for one thing. */
export function lookupOne(text: string, at: Span, scene: Scene, sought?: Sought): Member | undefined {
  const found = lookup(text, at, scene, sought);
  if (!found) return undefined;
  const [member] = found.members;
  if (found.single || !member) return member;
  scene.report(whichSide(text, at, `\`${text}\` is ${several(found)}: say which one`, [oneOf(found.members)]));
  return undefined;
}

/** What a name is looked up as, for messages and for suggestions. */
export interface Sought {
  readonly what: string;
  readonly kinds: readonly FamilyKind[];
}

/** "2 things, one for each side" or "a group of 3". */
export function several({ family, members }: Found): string {
  if (family.kind === "group" || family.kind === "light set") return `${called(family.kind)} of ${members.length}`;
  return `there for each side (${family.sides.join(", ")})`;
}

function oneOf(members: readonly Member[]): string {
  return `write ${members.map(({ id }) => `\`${id}\``).join(" or ")}`;
}

function familyOf(id: string, base: string, at: Span, scene: Scene, sought: Sought | undefined): Family | undefined {
  const { families } = scene.names;
  const family = families.get(id);
  if (family) return family;
  const without = families.get(base);
  if (id !== base && without) {
    const help = "name the position that it holds under `guard-holds` of the control";
    scene.report(noSide(id, at, `\`${base}\` has no guard`, help));
    return undefined;
  }
  scene.report(
    unknownName(base, firstPart(at, base), sought?.what ?? "the name of a thing", candidates(scene, sought)),
  );
  return undefined;
}

function candidates(scene: Scene, sought: Sought | undefined): string[] {
  const all = [...scene.names.families.values()].filter(({ guardOf }) => guardOf === undefined);
  const wanted = sought ? all.filter(({ kind }) => sought.kinds.includes(kind) || kind === "group") : all;
  return wanted.map(({ id }) => id);
}

/** The part of a name's place that holds its first word, so that a fix replaces no more than that. */
function firstPart(at: Span, base: string): Span {
  const from = at.file.text.indexOf(base, at.start);
  return from < 0 || from + base.length > at.end ? at : { file: at.file, start: from, end: from + base.length };
}

function sideOf(family: Family, written: string, text: string, at: Span, scene: Scene): Found | undefined {
  if (family.sides.length === 0) {
    scene.report(noSide(text, at, `\`${family.id}\` has no sides`, `write \`${family.id}\``));
    return undefined;
  }
  const side = written === "side" ? ownSide(family, text, at, scene) : written;
  if (side === undefined) return undefined;
  if (!family.sides.includes(side)) {
    const near = suggest(side, family.sides);
    const help = near === undefined ? `its sides are ${listed(family.sides)}` : `write \`${memberId(family, near)}\``;
    scene.report(noSide(text, at, `\`${family.id}\` has no side \`${side}\``, help));
    return undefined;
  }
  return { family, members: [{ id: memberId(family, side), family, side }], single: true };
}

function ownSide(family: Family, text: string, at: Span, scene: Scene): string | undefined {
  if (scene.side !== undefined) return scene.side;
  if (scene.wantSide?.(family.sides)) return undefined;
  scene.report(noSide(text, at, `\`${text}\` stands where there is no side`, `name the side: ${listed(family.sides)}`));
  return undefined;
}

function whole(family: Family, { names }: Scene): Found {
  const group = names.groups.get(family.id);
  if (group) return { family, members: group, single: false };
  const sided = family.sides.map((side) => ({ id: memberId(family, side), family, side }));
  return sided.length > 0
    ? { family, members: sided, single: false }
    : { family, members: [{ id: family.id, family }], single: true };
}

function listed(sides: readonly string[]): string {
  return sides.map((side) => `\`${side}\``).join(", ");
}
