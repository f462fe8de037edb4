import { type Expression, type Variable, variablesOf } from "../machine/expression.js";
import type { Model } from "../machine/model.js";
import { assigned, type Operation } from "../machine/operation.js";
import { coneOf, type Influences, influencesOf, rootsOf } from "../machine/slice.js";
import type { Monitor } from "../machine/transitions.js";
import type { Procedure } from "../program/procedure.js";
import type { Program } from "../program/program.js";

/** What every question about one procedure on one tail is asked with. */
export interface Context {
  readonly program: Program;
  readonly procedure: Procedure;
  readonly model: Model;
  readonly influences: Influences;
  /** The same without the clocks of delayed changes: a first guess that thinks every change possible at any time. */
  readonly timeless: Influences;
  /** What the acts, the questions at places and the equipment depend on: the variables of a search that leaves nothing out. */
  readonly whole: ReadonlySet<Variable>;
  /** Places of steps in the text, for "first in the text". */
  readonly textOrder: ReadonlyMap<string, number>;
  readonly limits: Limits;
}

export interface Limits {
  readonly deadline?: () => boolean;
  /** What is found is not told as a story, what the starts alone decide is left out, and breaks by a gauge's own move are not looked for. */
  readonly verdictsOnly?: boolean;
  /** Nodes of a decision diagram that one question may use. */
  readonly nodes?: number;
  /** Variables from which on a search forgets what nothing reads any more; absent: as many as make it worth its time. */
  readonly forgetFrom?: number;
}

export function contextOf(program: Program, procedure: Procedure, model: Model, limits: Limits): Context {
  const influences = influencesOf(model);
  const clocks = new Set(model.dynamics.memories.flatMap((memory) => memory.variables));
  const timeless = new Map(
    [...influences].map(([variable, on]) => [variable, new Set([...on].filter((one) => !clocks.has(one)))]),
  );
  const textOrder = new Map([...model.graph.entries.keys()].map((step, index) => [step.name, index]));
  return {
    program,
    procedure,
    model,
    influences,
    timeless,
    whole: closedOverStart(model, influences, coneOf(influences, rootsOfModel(model))),
    textOrder,
    limits,
  };
}

/** The variables of a search that leaves nothing out, with those of some monitors. */
export function wholeWith(
  context: Context,
  monitors: readonly Monitor[],
  more: readonly Expression[] = [],
): ReadonlySet<Variable> {
  if (monitors.length === 0 && more.length === 0) return context.whole;
  const roots = new Set([...context.whole, ...rootsOf(monitors), ...more.flatMap((one) => [...variablesOf(one)])]);
  return closedOverStart(context.model, context.influences, coneOf(context.influences, roots));
}

/** With what the starts tie to the variables: positions under guards, settled equipment, what `begins` says together. */
function closedOverStart(
  model: Model,
  influences: Influences,
  variables: ReadonlySet<Variable>,
): ReadonlySet<Variable> {
  let closed = new Set(variables);
  for (let size = -1; size !== closed.size; ) {
    size = closed.size;
    const tied = model.start.flatMap((part) => {
      const named = [...variablesOf(part)];
      return named.some((variable) => closed.has(variable)) ? named : [];
    });
    closed = coneOf(influences, [...closed, ...tied]);
  }
  return closed;
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
  for (const condition of [...model.procedure.begins, ...model.procedure.ends]) read(model.world.lower(condition));
  for (const variable of touchedEquipment(model)) roots.add(variable);
  return roots;
}

/** Equipment that acts and moves of gauges can set going, directly or through other equipment. */
function touchedEquipment(model: Model): ReadonlySet<Variable> {
  const { dynamics, graph, world } = model;
  const gauges = new Set([...model.gauges.keys(), ...graph.nodes.flatMap((node) => [...node.moves])]);
  const touched = new Set([
    ...graph.edges.flatMap((edge) => edge.operations.flatMap(assigned)),
    ...[...gauges].flatMap((gauge) => world.gauges.moved(gauge)?.variables ?? []),
  ]);
  const found = new Set<Variable>();
  const moved = equipmentMoves(dynamics);
  for (let size = -1; size !== found.size; ) {
    size = found.size;
    for (const { variable, when } of moved) {
      if (found.has(variable) || ![...variablesOf(when)].some((one) => touched.has(one))) continue;
      found.add(variable);
      touched.add(variable);
    }
  }
  return found;
}

function equipmentMoves(
  dynamics: Model["dynamics"],
): readonly { readonly variable: Variable; readonly when: Expression }[] {
  return [
    ...dynamics.immediate.flatMap(({ variable, choice }) => choice.map(({ when }) => ({ variable, when }))),
    ...dynamics.delayed.flatMap(({ fire, mayFire }) =>
      fire.flatMap((one) =>
        one.kind === "assign" && one.variable.role.kind === "equipment"
          ? [{ variable: one.variable, when: mayFire }]
          : [],
      ),
    ),
  ];
}

/** Equipment that nothing in the procedure sets going, and nothing in it asks about. */
export function idleEquipment(context: Context): readonly Variable[] {
  const all = new Set(equipmentMoves(context.model.dynamics).map(({ variable }) => variable));
  return [...all].filter((variable) => !context.whole.has(variable));
}

function readOperation(operation: Operation, roots: Set<Variable>, read: (expression: Expression) => void): void {
  for (const variable of assigned(operation)) if (variable.role.kind !== "before") roots.add(variable);
  if (operation.kind === "assume") read(operation.condition);
  if (operation.kind === "choose") for (const one of operation.cases) read(one.when);
}
