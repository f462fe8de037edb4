import { type Expression, TRUE, type Variable, variablesOf } from "./expression.js";
import type { Model } from "./model.js";
import { assigned, type Choice, type Operation } from "./operation.js";
import type { Monitor } from "./transitions.js";
import type { Memory } from "./world/memory.js";

/** For each variable, what its next value depends on. */
export type Influences = ReadonlyMap<Variable, ReadonlySet<Variable>>;

/** What decides over the value of each variable: changes of equipment, memories, moves of gauges. */
export function influencesOf(model: Model): Influences {
  const found = new Map<Variable, Set<Variable>>();
  const add = (variable: Variable, on: Iterable<Variable>) => {
    const present = found.get(variable) ?? new Set<Variable>();
    for (const one of on) present.add(one);
    found.set(variable, present);
  };
  for (const piece of model.dynamics.immediate)
    for (const { when } of piece.choice) add(piece.variable, variablesOf(when));
  for (const delayed of model.dynamics.delayed) {
    for (const operation of delayed.fire) {
      if (operation.kind !== "assign" || operation.variable.role.kind !== "equipment") continue;
      add(operation.variable, variablesOf(delayed.mayFire));
      add(operation.variable, delayed.tick.flatMap(assigned));
    }
  }
  for (const memory of model.memories)
    for (const variable of memory.variables) add(variable, variablesOfMemory(memory));
  for (const operation of [...model.graph.edges.flatMap((edge) => edge.operations), ...model.ticks]) {
    for (const variable of assigned(operation)) add(variable, readBy(operation));
  }
  for (const gauge of model.world.system.gauges.keys()) {
    const moved = model.world.gauges.moved(gauge);
    for (const variable of moved?.variables ?? []) add(variable, variablesOf(moved!.constraint));
    const guard = variablesOf(model.gauges.get(gauge) ?? TRUE);
    const known = model.world.known.get(gauge);
    for (const variable of [...(moved?.variables ?? []), ...(known ? [known.mark] : [])]) add(variable, guard);
  }
  return found;
}

/** The variables and everything that decides over them. */
export function coneOf(influences: Influences, roots: Iterable<Variable>): Set<Variable> {
  const cone = new Set(roots);
  for (const variable of cone) for (const one of influences.get(variable) ?? []) cone.add(one);
  return cone;
}

/** What a monitor is about. */
export function rootsOf(monitors: readonly Monitor[]): Set<Variable> {
  return new Set(monitors.flatMap((monitor) => [...variablesOfMemory(monitor), ...variablesOf(monitor.broken)]));
}

function variablesOfMemory(memory: Memory): Iterable<Variable> {
  const read = [...memory.before, ...memory.after].flatMap((operation) => [
    ...readBy(operation),
    ...assigned(operation),
  ]);
  return new Set([...memory.variables, ...memory.inputs, ...memory.scratch, ...read]);
}

/** The variables that an operation looks at. */
export function readBy(operation: Operation): Iterable<Variable> {
  switch (operation.kind) {
    case "assume":
      return variablesOf(operation.condition);
    case "choose":
      return readByChoice(operation.cases);
    case "remember":
      return variablesOf(operation.truth);
    case "copy":
      return [operation.of];
    case "havoc":
      return variablesOf(operation.constraint);
    default:
      return [];
  }
}

function readByChoice(cases: Choice): ReadonlySet<Variable> {
  const known = looked.get(cases);
  if (known) return known;
  const made = new Set(cases.flatMap((one) => [...variablesOf(one.when)]));
  looked.set(cases, made);
  return made;
}

/** Kept: choices are never changed. */
const looked = new WeakMap<Choice, ReadonlySet<Variable>>();

/**
 * An order of variables in which what belongs together stands together: depth first from the roots, each variable after
 * what decides over it. Twelve pairwise equal controls need thousands of nodes so, and millions in declared order.
 */
export function orderOf(
  influences: Influences,
  roots: readonly Expression[],
  wanted: ReadonlySet<Variable>,
): readonly Variable[] {
  const order: Variable[] = [];
  const seen = new Set<Variable>();
  const visit = (variable: Variable): void => {
    if (seen.has(variable)) return;
    seen.add(variable);
    for (const one of influences.get(variable) ?? []) visit(one);
    if (wanted.has(variable)) order.push(variable);
  };
  for (const root of roots) for (const variable of variablesOf(root)) visit(variable);
  for (const variable of wanted) visit(variable);
  return order;
}
