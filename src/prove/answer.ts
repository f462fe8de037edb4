import { type Expression, type Variable, variablesOf } from "../machine/expression.js";
import { coneOf, orderOf, rootsOf } from "../machine/slice.js";
import { EMPTY, NodeLimit } from "../machine/symbolic/bdd.js";
import { OutOfTime, Search } from "../machine/symbolic/search.js";
import { type Goal, type Path, shortestPath } from "../machine/symbolic/trace.js";
import { type Monitor, Transitions } from "../machine/transitions.js";
import type { Step } from "../program/procedure.js";
import { type Context, wholeWith } from "./context.js";

/** A question that a search can answer: what must not be at a moment, and what must not be at a place. */
export interface Query {
  /** They judge every moment. */
  readonly monitors: readonly Monitor[];
  /** What must not be at a place, by node id. */
  readonly atPlace: ReadonlyMap<number, Expression>;
  /** Everything that the question names. */
  readonly names: readonly Expression[];
}

export type Answer =
  | { readonly verdict: "holds" }
  | { readonly verdict: "unproved" }
  | {
      readonly verdict: "violated";
      readonly search: Search;
      readonly path: Path;
      readonly relevant: ReadonlySet<Variable>;
      readonly steps: readonly Step[];
    };

const REFINEMENTS = 12;

/**
 * Looks for a way to the goal in a slice of the model: the variables that the question depends on. What the slice leaves
 * out only adds paths, so "none" is an answer; a path found is an answer once it leaves out nothing, else the slice
 * grows by what was left out along it.
 */
export function ask(context: Context, query: Query): Answer {
  try {
    const names = query.names.flatMap((name) => [...variablesOf(name)]);
    let slice = coneOf(context.influences, [...rootsOf(query.monitors), ...names]);
    for (let round = 0; round < REFINEMENTS; round++) {
      const search = searchIn(context, query, slice).run(true);
      if (!isBroken(search, query)) return { verdict: "holds" };
      const path = shortestPath(search, goalOf(search, query), () => 0, context.limits.deadline);
      const left =
        path?.steps.flatMap(({ transition }) => transition.dropped.flatMap((part) => [...variablesOf(part)])) ?? [];
      const grown = coneOf(context.influences, [...slice, ...left]);
      if (grown.size === slice.size) break;
      slice = grown;
    }
    return askWhole(context, query, slice);
  } catch (error) {
    if (error instanceof NodeLimit || error instanceof OutOfTime) return { verdict: "unproved" };
    throw error;
  }
}

/** The answer in the whole model, with the shortest path. */
function askWhole(context: Context, query: Query, relevant: ReadonlySet<Variable>): Answer {
  const search = searchIn(context, query, wholeWith(context, query.monitors, query.names)).run();
  if (!isBroken(search, query)) return { verdict: "holds" };
  const steps = [...new Set(search.breaches.flatMap((breach) => stepOfBreach(breach.transition.cause) ?? []))];
  const prefer = (path: Path) => context.textOrder.get(blameOf(path)?.name ?? "") ?? -1;
  const path = shortestPath(search, goalOf(search, query), prefer, context.limits.deadline);
  return path ? { verdict: "violated", search, path, relevant, steps } : { verdict: "unproved" };
}

export function searchIn(
  context: Context,
  query: Pick<Query, "monitors" | "names">,
  slice: ReadonlySet<Variable>,
): Search {
  const transitions = new Transitions(context.model, query.monitors, slice);
  const roots = [...query.names, ...query.monitors.map((monitor) => monitor.broken)];
  const influences = new Map(context.influences);
  for (const monitor of query.monitors)
    for (const variable of monitor.variables) influences.set(variable, monitor.inputs);
  const { deadline, nodes } = context.limits;
  return new Search(transitions, {
    order: orderOf(influences, roots, slice),
    ...(deadline ? { deadline } : {}),
    ...(nodes ? { nodeLimit: nodes } : {}),
  });
}

function goalOf(search: Search, query: Query): Goal {
  const { space } = search;
  const atPlace = new Map([...query.atPlace].map(([id, wrong]) => [id, space.set(wrong)]));
  return { atMoment: (transition) => space.set(transition.broken), atPlace };
}

function isBroken(search: Search, query: Query): boolean {
  if (search.breaches.length > 0) return true;
  for (const [id, wrong] of query.atPlace) {
    if (search.space.bdd.and(search.reached[id]!, search.space.set(wrong)) !== EMPTY) return true;
  }
  return false;
}

function stepOfBreach(cause: Path["steps"][number]["transition"]["cause"]): Step | undefined {
  return cause.kind === "edge" ? cause.edge.step : undefined;
}

/** The step to blame: of the last act; for what happens in a pause, the step in whose pause it is; undefined before step 1. */
export function blameOf(path: Path): Step | undefined {
  for (const { transition } of path.steps.toReversed()) {
    if (transition.cause.kind === "edge" && transition.cause.edge.kind !== "pass") return transition.cause.edge.step;
  }
  return undefined;
}
