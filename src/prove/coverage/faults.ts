import type { Condition } from "../../program/condition.js";
import type { Fault } from "../../program/coverage.js";
import type { System } from "../../program/system.js";

/** A condition that lights, named conditions or equipment read; `owner` is unique among them. */
export interface Logic {
  readonly owner: string;
  /** What it is printed as: the light, condition or equipment it belongs to. */
  readonly of: string;
  readonly condition: Condition;
}

/** One reading of a name in the logic, by its place among the readings of its owner. */
export interface Use {
  readonly key: string;
  readonly within: string;
  readonly kind: "condition" | "control";
  readonly thing: string;
}

/** Every condition of the logic: of lights, of named conditions, of changes. What moves a gauge is no logic. */
export function logicOf(system: System): readonly Logic[] {
  const found: Logic[] = [];
  const add = (owner: string, of: string, condition: Condition | undefined) => {
    if (condition) found.push({ owner, of, condition });
  };
  for (const { id, litWhen, flashingWhen, latchedUntil, cancelledBy } of system.lights.values()) {
    add(`light ${id} lit-when`, id, litWhen);
    add(`light ${id} flashing-when`, id, flashingWhen);
    add(`light ${id} latched-until`, id, latchedUntil);
    add(`light ${id} cancelled-by`, id, cancelledBy);
  }
  for (const { id, means } of system.conditions.values()) add(`condition ${id}`, id, means);
  for (const { id, changes } of system.equipment.values())
    changes.forEach((change, index) => {
      if (!change.anytime) add(changeOwner(id, index), id, change.when);
    });
  return found;
}

export function changeOwner(equipment: string, index: number): string {
  return `equipment ${equipment} change ${index + 1}`;
}

/** The readings of conditions and controls in one condition, in written order. */
export function usesIn({ owner, of, condition }: Logic): readonly Use[] {
  const found: Use[] = [];
  mapReadings(condition, owner, (atom, key) => {
    const thing = atom.kind === "named" ? atom.condition : atom.kind === "is" ? atom.thing : "";
    const kind =
      atom.kind === "named" ? "condition" : atom.kind === "is" && atom.of === "control" ? "control" : undefined;
    if (kind) found.push({ key, within: of, kind, thing });
    return atom;
  });
  return found;
}

/** The condition with each of its atoms made anew; `key` tells the place of the atom. */
export function mapReadings(
  condition: Condition,
  owner: string,
  change: (atom: Condition, key: string) => Condition,
): Condition {
  let number = 0;
  const visit = (part: Condition): Condition => {
    switch (part.kind) {
      case "and":
      case "or":
        return { ...part, of: part.of.map(visit) };
      case "not":
      case "for":
      case "checked":
        return { ...part, of: visit(part.of) };
      default:
        number += 1;
        return change(part, `${owner} #${number}`);
    }
  };
  return visit(condition);
}

/**
 * Every single stuck-at fault of a system: lights, named conditions, the uses of a name that is used several times, and
 * controls as the logic reads them. With gates as conditions and two-way switches these are the faults of the classical
 * model (Brglez and Fujiwara 1985).
 */
export function faultsOf(system: System): readonly Fault[] {
  const uses = logicOf(system).flatMap(usesIn);
  const number = new Map<string, number>();
  for (const { kind, thing } of uses) number.set(`${kind} ${thing}`, (number.get(`${kind} ${thing}`) ?? 0) + 1);
  const found: Fault[] = [];
  for (const light of system.lights.values()) {
    if (!light.litWhen && !light.flashingWhen) continue;
    for (const stuck of ["dark", "lit"])
      found.push({ id: `light ${light.id} ${stuck}`, kind: "light", thing: light.id, stuck });
  }
  for (const { id } of system.conditions.values())
    for (const stuck of TRUTHS) found.push({ id: `condition ${id} ${stuck}`, kind: "condition", thing: id, stuck });
  for (const control of system.controls.values()) {
    if (!number.has(`control ${control.id}`)) continue;
    for (const { id: stuck } of control.positions)
      found.push({ id: `control ${control.id} ${stuck}`, kind: "control", thing: control.id, stuck });
  }
  for (const { key, within, kind, thing } of uses) {
    if (number.get(`${kind} ${thing}`) === 1) continue;
    for (const stuck of TRUTHS) found.push({ id: `use ${key} ${stuck}`, kind: "use", thing, within, stuck });
  }
  return found;
}

const TRUTHS = ["true", "false"];
