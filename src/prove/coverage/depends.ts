import { thingsNamed } from "../../machine/world/world.js";
import type { Condition } from "../../program/condition.js";
import type { System } from "../../program/system.js";

/**
 * Ids of the controls, equipment and things outside that a condition depends on: what it names, what that is made of, and what
 * sets changes of it going. A guard and what is under it go together.
 */
export function dependsOn(system: System, condition: Condition): ReadonlySet<string> {
  const found = new Set<string>();
  const read = (one: Condition | undefined) => {
    if (one) for (const thing of thingsNamed(one)) found.add(thing);
  };
  read(condition);
  for (const id of found) for (const one of behind(system, id)) read(one);
  for (const id of [...found]) {
    const control = system.controls.get(id);
    for (const other of [control?.guard, control?.guards?.control]) if (other !== undefined) found.add(other);
  }
  return found;
}

/** The conditions that decide over a thing. */
function behind({ lights, conditions, equipment, gauges }: System, id: string): readonly (Condition | undefined)[] {
  const light = lights.get(id);
  return [
    light?.litWhen,
    light?.flashingWhen,
    light?.latchedUntil,
    light?.cancelledBy,
    conditions.get(id)?.means,
    gauges.get(id)?.moves,
    ...(equipment.get(id)?.changes ?? []).map(({ when }) => when),
  ];
}
