import type { Variable } from "../../machine/expression.js";
import type { Search } from "../../machine/symbolic/search.js";
import { timesOf } from "../../machine/world/times.js";
import { World } from "../../machine/world/world.js";
import type { Procedure } from "../../program/procedure.js";
import type { System, Tail } from "../../program/system.js";
import type { Context } from "../context.js";

/** How many positions of controls, states of equipment and of what is outside the procedure may start from, as a power of ten. */
export function startsLog10(context: Context, search: Search): number {
  const { system, tail } = context.model.world;
  const counts = (variable: Variable) => ["control", "equipment", "outside"].includes(variable.role.kind);
  const inside = search.space.variables.filter((variable) => counts(variable) && context.whole.has(variable));
  return search.space.countLog10(search.start, inside) + log10Outside(system, tail, context.procedure, context.whole);
}

/** Controls that nothing in this procedure touches stand anywhere too. In a world of its own: what is asked there bears on no answer. */
export function log10Outside(system: System, tail: Tail, procedure: Procedure, whole: ReadonlySet<Variable>): number {
  const world = new World(system, tail, timesOf(system, procedure, []), []);
  const inside = new Set([...whole].map((variable) => variable.name));
  let log = 0;
  for (const control of world.system.controls.values()) {
    const variable = world.control(control.id);
    if (!variable || inside.has(variable.name) || control.guards) continue;
    const free = control.positions.length - control.springs.size;
    const guard = control.guard === undefined ? undefined : world.control(control.guard);
    log += Math.log10(guard && !inside.has(guard.name) ? free + 1 : free);
  }
  return log;
}
