import { type Expression, FALSE, type Variable, variablesOf } from "../machine/expression.js";
import type { Edge } from "../machine/graph/graph.js";
import { groupedBy } from "../machine/graph/reach.js";
import { coneOf, orderOf, rootsOf } from "../machine/slice.js";
import type { Goal } from "../machine/symbolic/goal.js";
import { Search } from "../machine/symbolic/search.js";
import type { Space } from "../machine/symbolic/space.js";
import { type Monitor, type Transition, Transitions } from "../machine/transitions.js";
import { type Context, wholeWith } from "./context.js";
import { learnedOf } from "./learned.js";

/** A question that a search can answer: what must not be at a moment, and what must not be at a place. */
export interface Query {
  /** They judge every moment. */
  readonly monitors: readonly Monitor[];
  /** What must not be at a place, by node id. */
  readonly atPlace: ReadonlyMap<number, Expression>;
  /** What must not be at the moment of an edge. */
  readonly atEdges?: ReadonlyMap<Edge, Expression>;
  /** Everything that the question names. */
  readonly names: readonly Expression[];
  /** Only what breaks by an act or a change counts: a gauge's own move is nobody's step. */
  readonly byActs?: boolean;
}

/** How a question is put. */
export interface How {
  /** What the starts are narrowed to. */
  readonly given?: Expression;
  readonly isDeclaredOrder?: boolean;
}

/** The variables that a question depends on, without the clocks of delayed changes: the narrowest slice that can answer. */
export function firstSlice(context: Context, { monitors, names }: Query): ReadonlySet<Variable> {
  return coneOf(context.timeless, [...rootsOf(monitors), ...names.flatMap((name) => [...variablesOf(name)])]);
}

/** The variables of a search that leaves nothing out of a question. */
export function wholeOf(context: Context, query: Pick<Query, "monitors" | "names">): ReadonlySet<Variable> {
  return wholeWith(context, query.monitors, query.names);
}

/** A search for the question in a slice, not yet run. It passes over the edges by which nothing is known to come anywhere. */
export function searchIn(
  context: Context,
  query: Pick<Query, "monitors" | "names"> & Partial<Query>,
  slice: ReadonlySet<Variable>,
  { given, isDeclaredOrder }: How = {},
  spaceFor?: (transitions: Transitions) => Space | undefined,
): Search {
  const plain = spaceFor && plainOf(context, query.monitors, slice);
  const transitions = new Transitions(context.model, query.monitors, slice, plain);
  const { deadline, nodes, forgetFrom } = context.limits;
  const { atPlace } = query;
  const { ways } = learnedOf(context);
  const space = spaceFor?.(transitions);
  return new Search(transitions, {
    order: space
      ? []
      : isDeclaredOrder
        ? [...slice].sort((a, b) => a.index - b.index)
        : orderFor(context, query, slice),
    ...(space ? { space } : {}),
    ...(given ? { given } : {}),
    ...(ways ? { ways } : {}),
    ...(deadline ? { deadline } : {}),
    ...(nodes ? { nodeLimit: nodes } : {}),
    ...(atPlace ? { asked: askedBy(atPlace, query.atEdges) } : {}),
    ...(forgetFrom === undefined ? {} : { forgetFrom }),
  });
}

/** What a question asks at a place, and at the moments of the edges from there, by node id. */
function askedBy(atPlace: Query["atPlace"], atEdges: Query["atEdges"] = new Map()): (id: number) => Iterable<Variable> {
  const looked = groupedBy([...atEdges], ([{ from }]) => from.id);
  return (id) =>
    [atPlace.get(id) ?? FALSE, ...(looked.get(id) ?? []).map(([, wrong]) => wrong)].flatMap((one) => [
      ...variablesOf(one),
    ]);
}

/** The transitions of the whole with no monitors, where the slice has no other variables than those and the monitors' own. */
function plainOf(
  context: Context,
  monitors: readonly Monitor[],
  slice: ReadonlySet<Variable>,
): Transitions | undefined {
  const own = new Set(monitors.flatMap(({ variables, scratch }) => [...variables, ...scratch]));
  for (const variable of slice) if (!context.whole.has(variable) && !own.has(variable)) return undefined;
  for (const variable of context.whole) if (!slice.has(variable)) return undefined;
  const known = learnedOf(context);
  known.plain ??= new Transitions(context.model, [], context.whole);
  return known.plain;
}

/** Depth first from what the question names. */
export function orderFor(
  context: Context,
  { names, monitors }: Pick<Query, "monitors" | "names">,
  slice: ReadonlySet<Variable>,
): readonly Variable[] {
  const roots = [...names, ...monitors.map((monitor) => monitor.broken)];
  const influences = new Map(context.influences);
  for (const monitor of monitors) for (const variable of monitor.variables) influences.set(variable, monitor.inputs);
  return orderOf(influences, roots, slice);
}

/** What a shortest way is looked for to. */
export function goalOf({ space }: Search, query: Query): Goal {
  const atPlace = new Map([...query.atPlace].map(([id, wrong]) => [id, space.set(wrong)]));
  const atEdges = query.atEdges && new Map([...query.atEdges].map(([edge, wrong]) => [edge, space.set(wrong)]));
  return { atPlace, atBreach: (transition) => counts(query, transition), ...(atEdges ? { atEdges } : {}) };
}

export function counts({ byActs }: Query, { cause }: Transition): boolean {
  return !byActs || cause.kind !== "move";
}

/** Explores no further than to the first break. */
export function runToBreach(search: Search, query: Query): Search {
  const looked = new Set([...(query.atEdges?.keys() ?? [])].map(({ from }) => from.id));
  return search.runUntil(
    ({ transition }) => counts(query, transition),
    (id) => query.atPlace.has(id) || looked.has(id),
  );
}

/** Did a search find what must not be? */
export function isBroken(search: Search, query: Query): boolean {
  if (search.breaches.some(({ transition }) => counts(query, transition))) return true;
  for (const [id, wrong] of query.atPlace) if (comesSo(search, id, wrong)) return true;
  for (const [edge, wrong] of query.atEdges ?? []) if (looksSo(search, edge, wrong)) return true;
  return false;
}

/** Did a search go along an edge so, at its moment? */
export function looksSo(search: Search, edge: Edge, wrong: Expression): boolean {
  return search.space.bdd.meets(search.momentsOf(edge), search.space.set(wrong));
}

/** Did a search come to a place so? */
export function comesSo(search: Search, id: number, wrong: Expression): boolean {
  return search.space.bdd.meets(search.reachedAt(id), search.space.set(wrong));
}
