import { and, type Expression, equals, FALSE, not, type Variable, variablesOf } from "../../machine/expression.js";
import type { Node } from "../../machine/graph/graph.js";
import type { LoweredRule, Model } from "../../machine/model.js";
import { coneOf, orderOf, rootsOf } from "../../machine/slice.js";
import type { Ref } from "../../machine/symbolic/bdd.js";
import { Search } from "../../machine/symbolic/search.js";
import { Transitions } from "../../machine/transitions.js";
import type { Condition } from "../../program/condition.js";
import { walkCondition } from "../../program/walk.js";
import type { Context } from "../context.js";
import { questionOf } from "../monitors.js";
import type { Query } from "../query.js";
import { dutyMonitors } from "../whole/duties.js";
import { prohibitionMonitor } from "../whole/prohibit.js";
import { textOf } from "../words.js";
import { valuesIn } from "./cutting.js";
import { SLIP } from "./slipped.js";
import { SLIPPED } from "./slips.js";

/** Something that holds without a slip, and is asked about with one. */
export type Asking =
  | { readonly kind: "rule"; readonly rule: string }
  /** What a step forbids, by the name of the step; the duty of a sprung position, by its control and the name of the monitor. */
  | { readonly kind: "prohibition" | "duty"; readonly of: string; readonly monitor: string }
  | { readonly kind: "promise"; readonly condition: Condition }
  /** What a step needs, or takes for granted where it performs or leaves for another procedure. */
  | { readonly kind: "need"; readonly step: string | undefined; readonly condition: Condition };

/**
 * For each slip, by its number, what is asked of every moment and that it may break unnoticed: all that it does break, and perhaps
 * more. `wanted` gives the numbers of the slips that can have to do with a question.
 */
export function suspectsOf(
  context: Context,
  wanted: (asking: Asking) => ReadonlySet<number>,
): ReadonlyMap<number, readonly Asking[]> {
  const { model } = context;
  const found = new Map<number, Asking[]>();
  const consider = (asking: Asking, query: () => Query) => {
    const slips = wanted(asking);
    if (slips.size === 0) return;
    for (const value of breakers(context, query()))
      if (slips.has(value)) found.set(value, [...(found.get(value) ?? []), asking]);
  };
  for (const lowered of model.rules) consider({ kind: "rule", rule: lowered.rule.id }, () => ruleQuery(model, lowered));
  for (const { asking, query } of watchedOver(context)) consider(asking, () => query);
  return found;
}

export type Watching = Extract<Asking, { readonly monitor: string }>;

/** A promise, or what a step needs. */
export type OfPlaces = Extract<Asking, { readonly condition: Condition }>;

/** It, as a coverage report has it. */
export function whatOf(asking: Asking): string {
  if (asking.kind === "rule") return asking.rule;
  return "condition" in asking ? textOf(asking.condition) : asking.of;
}

/** Prohibitions and duties, which are asked of every moment as rules are. */
export function watchedOver(context: Context): readonly { readonly asking: Watching; readonly query: Query }[] {
  const seen = new Set<string | undefined>();
  const prohibitions = context.model.graph.probes.flatMap((probe) => {
    if (probe.kind !== "prohibit" || !probe.step || seen.has(probe.step.name)) return [];
    seen.add(probe.step.name);
    const monitor = prohibitionMonitor(context, probe);
    return [{ asking: { kind: "prohibition", of: probe.step.name, monitor: monitor.name } as const, monitor }];
  });
  const duties = dutyMonitors(context).map(({ control, monitor }) => ({
    asking: { kind: "duty", of: control, monitor: monitor.variables[0]!.name } as const,
    monitor,
  }));
  return [...prohibitions, ...duties].map(({ asking, monitor }) => ({
    asking,
    query: { monitors: [monitor], atPlace: new Map(), names: [monitor.broken] },
  }));
}

/** What is wrong at which places, for each promise and need. */
export function owed(
  context: Context,
): readonly { readonly asking: OfPlaces; readonly wrong: ReadonlyMap<number, Expression> }[] {
  const { model } = context;
  const { world, graph } = model;
  const at = (nodes: readonly Node[], truth: Expression) => new Map(nodes.map(({ id }) => [id, truth]));
  const promises = model.procedure.ends.map((condition) => ({
    asking: { kind: "promise", condition } as const,
    wrong: at([graph.finish], not(world.lower(condition))),
  }));
  const canAct = not(model.dynamics.forced);
  const needs = graph.probes.flatMap((probe) => {
    if (probe.kind !== "needs" && probe.kind !== "begins" && probe.kind !== "hand-over") return [];
    const condition = withoutGates(probe.condition);
    if (!condition) return [];
    const kept = probe.kind === "hand-over" && !probe.step ? model.procedure.ends.map((end) => world.lower(end)) : [];
    const acting = probe.kind === "hand-over" ? [] : [canAct];
    const wrong = at(probe.nodes, and(...acting, ...kept, not(world.lower(condition))));
    return [{ asking: { kind: "need", step: probe.step?.name, condition } as const, wrong }];
  });
  return [...promises, ...needs];
}

/** The condition as the author wrote it: what was put beside it for slips left out; undefined where that is all. */
function withoutGates(condition: Condition): Condition | undefined {
  const isGate = (one: Condition) =>
    [...walkCondition(one)].some(
      (part) => (part.kind === "done" && part.step === SLIPPED) || (part.kind === "is" && part.thing === SLIP),
    );
  if (!isGate(condition)) return condition;
  const [first] = condition.kind === "and" ? condition.of : [];
  return first && !isGate(first) ? first : undefined;
}

export function ruleQuery(model: Model, lowered: LoweredRule): Query {
  const question = questionOf(model, lowered);
  const ends = model.graph.nodes.filter(({ end }) => end && end.kind !== "gap");
  const owedAt = ({ end }: Node) => (end?.kind === "finish" ? question.atEnd : question.atLeaving);
  return {
    monitors: [question.monitor],
    atPlace: new Map(question.atEnd === FALSE ? [] : ends.map((node) => [node.id, owedAt(node)])),
    names: [question.atEnd, question.atLeaving, question.monitor.broken],
  };
}

/** The slips with which the question may have a bad answer: asked of a small slice of the model, which may think of more. */
function breakers(context: Context, query: Query): readonly number[] {
  const { world } = context.model;
  const slip = world.outside(SLIP)!;
  const roots = [...rootsOf(query.monitors), ...query.names.flatMap((name) => [...variablesOf(name)])];
  const mine = [slip, world.done(SLIPPED)];
  const timeless = new Set([...coneOf(context.timeless, roots), ...mine]);
  if (breakersIn(context, query, slip, timeless).length === 0) return [];
  const timed = new Set([...coneOf(context.influences, roots), ...mine]);
  return breakersIn(context, query, slip, timed);
}

function breakersIn(context: Context, query: Query, slip: Variable, slice: ReadonlySet<Variable>): readonly number[] {
  const search = searchOver(context, query, slip, slice);
  const { space } = search;
  const placed = [...query.atPlace].map(([id, wrong]) => space.bdd.and(search.reachedAt(id), space.set(wrong)));
  const all = [...search.breaches.map(({ states }) => states), ...placed].reduce<Ref>(
    (sum, states) => space.bdd.or(sum, states),
    0,
  );
  return valuesIn(search, space.bdd.and(all, space.set(equals(context.model.world.done(SLIPPED), 1))), slip);
}

function searchOver(context: Context, query: Query, slip: Variable, slice: ReadonlySet<Variable>): Search {
  const influences = new Map(context.influences);
  for (const monitor of query.monitors)
    for (const variable of monitor.variables) influences.set(variable, monitor.inputs);
  const roots = [...query.names, ...query.monitors.map((monitor) => monitor.broken)];
  const order = orderOf(influences, roots, slice).filter((variable) => variable !== slip);
  const { deadline, nodes } = context.limits;
  const mine = [slip, context.model.world.done(SLIPPED)];
  return new Search(new Transitions(context.model, query.monitors, slice), {
    order: [slip, ...order],
    asked: (id) => [...mine, ...variablesOf(query.atPlace.get(id) ?? FALSE)],
    ...(deadline ? { deadline } : {}),
    ...(nodes ? { nodeLimit: nodes } : {}),
  }).run();
}
