import type { Span } from "../../source/file.js";
import type { Node } from "../../syntax/tree.js";

export type FamilyKind =
  | "control"
  | "gauge"
  | "equipment"
  | "outside"
  | "condition"
  | "light"
  | "fit"
  | "group"
  | "light set";

/** What one key of a system declares: a thing, or one thing for each side, or a group. */
export interface Family {
  readonly kind: FamilyKind;
  readonly id: string;
  /** Empty where there are no sides. */
  readonly sides: readonly string[];
  /** Side to what is printed for it. */
  readonly sideLabels: ReadonlyMap<string, string>;
  /** What `is` may say of it: positions, states, values, bands; `lit`, `out`, `flashing`. */
  readonly values: readonly string[];
  /** Sprung position to where it goes. */
  readonly springs: ReadonlyMap<string, string>;
  /** It is not on every ship. */
  readonly fitted: boolean;
  /** A light without logic can be seen and never proved. */
  readonly logic: boolean;
  /** Of a gauge. */
  readonly unit: string;
  /** Of a guard: the control under it. */
  readonly guardOf?: string | undefined;
  /** The declaration, as written. */
  readonly node: Node;
  /** Its key. */
  readonly span: Span;
}

/** One thing with its full id: `cooling-pump.port`. */
export interface Member {
  readonly id: string;
  readonly family: Family;
  readonly side?: string | undefined;
}

/** Every name of a system. Names come from users: maps only. */
export interface NameTable {
  readonly families: ReadonlyMap<string, Family>;
  /** Full id to thing. */
  readonly members: ReadonlyMap<string, Member>;
  /** Group or light set to the things in it, sides spelled out. */
  readonly groups: ReadonlyMap<string, readonly Member[]>;
  /** Every side that any thing has. */
  readonly sides: ReadonlySet<string>;
}

/** The things of a family in the order of its sides; none for groups. */
export function membersOf(family: Family): Member[] {
  if (family.kind === "group" || family.kind === "light set") return [];
  if (family.sides.length === 0) return [{ id: family.id, family }];
  return family.sides.map((side) => ({ id: memberId(family, side), family, side }));
}

/** `fuel-valve.port`; of a guard, `fuel-valve.port.guard`. */
export function memberId(family: Family, side: string): string {
  return family.guardOf === undefined ? `${family.id}.${side}` : `${family.guardOf}.${side}.guard`;
}

/** How the kinds are called in messages. */
export function called(kind: FamilyKind): string {
  return CALLED[kind];
}

const CALLED: Readonly<Record<FamilyKind, string>> = {
  control: "a control",
  gauge: "a gauge",
  equipment: "equipment",
  outside: "outside",
  condition: "a named condition",
  light: "a light",
  fit: "a fit",
  group: "a group",
  "light set": "a light set",
};
