import { type Expression, type Variable, variablesOf } from "../../machine/expression.js";
import type { Edge, Node } from "../../machine/graph/graph.js";
import { EMPTY, type Ref } from "../../machine/symbolic/bdd.js";
import type { Search } from "../../machine/symbolic/search.js";
import type { Step } from "../../program/procedure.js";
import { type Context, wholeWith } from "../context.js";
import { cutShort, leadsToGap } from "../whole/flow.js";
import { looksOf } from "./looks.js";

/** The variables on which paths and looks depend: equipment that nobody looks at is left out. */
export function sliceOf(context: Context, more: readonly Expression[]): ReadonlySet<Variable> {
  const { graph } = context.model;
  const guards = graph.edges.flatMap((edge) => [
    edge.after,
    ...edge.operations.flatMap((one) => (one.kind === "assume" ? [one.condition] : [])),
  ]);
  const needs = graph.probes.flatMap((probe) =>
    probe.kind === "needs" || probe.kind === "begins" ? [probe.truth] : [],
  );
  const looks = looksOf(context).all.map(({ wrong }) => wrong);
  return wholeWith({ ...context, whole: new Set() }, [], [...guards, ...needs, ...looks, ...more]);
}

/**
 * What is asked at each place once all is explored, by node id: some variables everywhere, what is wrong at places or at the moments
 * after them, and what of the needs holds waits up.
 */
export function askedAtPlaces(
  { model }: Context,
  everywhere: readonly Variable[],
  more: readonly (readonly [Node, Expression])[],
): (id: number) => Iterable<Variable> {
  const asked = new Map<number, Set<Variable>>();
  const ask = ({ id }: Node, expression: Expression) => {
    const here = asked.get(id) ?? new Set(everywhere);
    for (const variable of variablesOf(expression)) here.add(variable);
    asked.set(id, here);
  };
  for (const [node, expression] of more) ask(node, expression);
  for (const probe of model.graph.probes) {
    if (probe.kind !== "needs" && probe.kind !== "begins") continue;
    for (const node of probe.nodes) for (const one of [probe.truth, model.dynamics.forced]) ask(node, one);
  }
  return (id) => asked.get(id) ?? everywhere;
}

/** Waits and loops that no path leaves; not where what goes wrong elsewhere holds them up. */
export function stuckStates(
  context: Context,
  search: Search,
): readonly { readonly states: Ref; readonly step: Step }[] {
  const { bdd } = search.space;
  const probes = context.model.graph.probes.filter(({ kind }) => kind === "stuck");
  const counts = probes.length === 0 ? new Map<number, Ref>() : cutShort(context, search);
  return probes.flatMap((probe) => {
    if (probe.kind !== "stuck" || !probe.step) return [];
    const asked = new Map(probe.nodes.map((node) => [node.id, search.reachedAt(node.id)]));
    const isWait = probe.what === "wait";
    const how = isWait ? { counts } : { notBy: (edge: Edge) => leadsToGap(context, edge.to) };
    const leaves = search.canLeave(probe.region, asked, how);
    const { step } = probe;
    return probe.nodes.map(({ id }) => ({ step, states: bdd.diff(search.reachedAt(id), leaves.get(id) ?? EMPTY) }));
  });
}

/**
 * Waits with a limit: the moments at which it runs out and what is waited for cannot come any more, by the way taken
 * then; not where what goes wrong elsewhere holds it up.
 */
export function neverInTime(context: Context, search: Search): ReadonlyMap<Edge, Ref> {
  const found = new Map<Edge, Ref>();
  const limited = context.model.graph.probes.filter(({ kind, step }) => kind === "if-not" && step?.kind === "wait-for");
  const counts = limited.length === 0 ? new Map<number, Ref>() : cutShort(context, search);
  for (const probe of limited) {
    for (const late of probe.edges) {
      const asked = new Map([[late.from.id, search.reachedAt(late.from.id)]]);
      const leaves = search.canLeave([late.from], asked, { counts, notBy: (edge) => edge === late });
      const never = search.space.bdd.diff(search.momentsOf(late), leaves.get(late.from.id) ?? EMPTY);
      if (never !== EMPTY) found.set(late, never);
    }
  }
  return found;
}
