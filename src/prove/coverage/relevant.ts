import type { Condition } from "../../program/condition.js";
import type { Fault } from "../../program/coverage.js";
import type { System } from "../../program/system.js";
import { walkCondition } from "../../program/walk.js";
import { logicOf, usesIn } from "./faults.js";

/** What a procedure can see of the logic: lights that it looks at, and equipment whose state it can come to know. */
export interface Seen {
  readonly lights: ReadonlySet<string>;
  readonly equipment: ReadonlySet<string>;
}

/** The faults that can make a difference to what is seen; the others surely never show. */
export function relevantFaults(system: System, faults: readonly Fault[], seen: Seen): ReadonlySet<Fault> {
  const byThing = new Map<string, { readonly owner: string; readonly condition: Condition }[]>();
  for (const logic of logicOf(system)) {
    const key = `${logic.owner.split(" ")[0]} ${logic.of}`;
    byThing.set(key, [...(byThing.get(key) ?? []), logic]);
  }
  const things = new Set([
    ...[...seen.lights].map((id) => `light ${id}`),
    ...[...seen.equipment].map((id) => `equipment ${id}`),
  ]);
  const owners = new Set<string>();
  const controls = new Set<string>();
  for (const thing of things) {
    for (const { owner, condition } of byThing.get(thing) ?? []) {
      owners.add(owner);
      for (const use of usesIn({ owner, of: "", condition })) {
        if (use.kind === "condition") things.add(`condition ${use.thing}`);
        else controls.add(use.thing);
      }
      for (const part of walkCondition(condition)) if (part.kind === "light") things.add(`light ${part.light}`);
    }
  }
  return new Set(
    faults.filter(({ kind, thing, id }) => {
      if (kind === "light") return seen.lights.has(thing);
      if (kind === "condition") return things.has(`condition ${thing}`);
      if (kind === "control") return controls.has(thing);
      return owners.has(id.slice("use ".length, id.indexOf(" #")));
    }),
  );
}
