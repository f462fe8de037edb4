import { type Expression, type Variable, variablesOf } from "../machine/expression.js";
import type { Model } from "../machine/model.js";
import type { Operation } from "../machine/operation.js";
import { coneOf, type Influences, influencesOf, rootsOf } from "../machine/slice.js";
import { assigned, type Monitor } from "../machine/transitions.js";
import type { Procedure } from "../program/procedure.js";
import type { Program } from "../program/program.js";

/** What every question about one procedure on one tail is asked with. */
export interface Context {
  readonly program: Program;
  readonly procedure: Procedure;
  readonly model: Model;
  readonly influences: Influences;
  /** What the acts, the questions at places and the equipment depend on: the variables of a search that leaves nothing out. */
  readonly whole: ReadonlySet<Variable>;
  /** Places of steps in the text, for "first in the text". */
  readonly textOrder: ReadonlyMap<string, number>;
  readonly limits: Limits;
}

export interface Limits {
  readonly deadline?: () => boolean;
  /** Nodes of a decision diagram that one question may use. */
  readonly nodes?: number;
}

export function contextOf(program: Program, procedure: Procedure, model: Model, limits: Limits): Context {
  const influences = influencesOf(model);
  const textOrder = new Map([...model.graph.entries.keys()].map((step, index) => [step.name, index]));
  return { program, procedure, model, influences, whole: coneOf(influences, rootsOfModel(model)), textOrder, limits };
}

/** The variables of a search that leaves nothing out, with those of some monitors. */
export function wholeWith(
  context: Context,
  monitors: readonly Monitor[],
  more: readonly Expression[] = [],
): ReadonlySet<Variable> {
  if (monitors.length === 0 && more.length === 0) return context.whole;
  const roots = new Set([...context.whole, ...rootsOf(monitors), ...more.flatMap((one) => [...variablesOf(one)])]);
  return coneOf(context.influences, roots);
}

function rootsOfModel(model: Model): Set<Variable> {
  const roots = new Set<Variable>();
  const read = (expression: Expression) => {
    for (const variable of variablesOf(expression)) roots.add(variable);
  };
  for (const edge of model.graph.edges) {
    read(edge.after);
    for (const operation of edge.operations) readOperation(operation, roots, read);
  }
  for (const probe of model.graph.probes) {
    if ("truth" in probe) read(probe.truth);
    if (probe.kind === "guard") read(probe.closed);
    if (probe.kind === "move") read(probe.already);
    if (probe.kind === "observe" && probe.step?.kind === "observe") {
      for (const light of probe.step.lights) read(model.world.lowerLight(light, "lit"));
      for (const listed of probe.step.lit) if (listed.when) read(model.world.lower(listed.when));
    }
    if (probe.kind === "observe" && probe.step?.kind === "check") read(model.world.lower(probe.step.condition));
  }
  for (const condition of model.procedure.ends) read(model.world.lower(condition));
  for (const piece of model.dynamics.immediate) roots.add(piece.variable);
  for (const delayed of model.dynamics.delayed)
    for (const operation of delayed.fire) if (operation.kind === "assign") addState(operation.variable, roots);
  return roots;
}

function addState(variable: Variable, roots: Set<Variable>): void {
  if (variable.role.kind === "equipment") roots.add(variable);
}

function readOperation(operation: Operation, roots: Set<Variable>, read: (expression: Expression) => void): void {
  for (const variable of assigned(operation)) if (variable.role.kind !== "before") roots.add(variable);
  if (operation.kind === "assume") read(operation.condition);
  if (operation.kind === "choose") for (const one of operation.cases) read(one.when);
}
