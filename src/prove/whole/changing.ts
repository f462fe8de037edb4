import { assigned } from "../../machine/operation.js";
import { EMPTY } from "../../machine/symbolic/bdd.js";
import type { Search } from "../../machine/symbolic/search.js";
import type { Context } from "../context.js";
import { rounds } from "./settling.js";

/** Names of what some act or change changes in some state that can be reached. */
export function changingOf(context: Context, search: Search): ReadonlySet<string> {
  return new Set([...byActs(search), ...bySettling(context, search), ...inPauses(search)]);
}

/** Controls moved from elsewhere, what was asked for, marks. */
function byActs(search: Search): Iterable<string> {
  const { space } = search;
  const found = new Set<string>();
  for (const edge of search.transitions.model.graph.edges) {
    const from = search.reachedAt(edge.from.id);
    for (const operation of edge.operations) {
      if (operation.kind !== "assign" || !space.has(operation.variable) || found.has(operation.variable.name)) continue;
      const moves = !space.bdd.isWithin(from, space.value(operation.variable, operation.value));
      if (moves) found.add(operation.variable.name);
    }
  }
  return found;
}

function bySettling(context: Context, search: Search): readonly string[] {
  const { space } = search;
  const moving = [...search.moving().values()].reduce((sum, states) => space.bdd.or(sum, states), EMPTY);
  const { visited } = rounds(search, moving);
  const pieces = context.model.dynamics.immediate.filter((piece) => context.whole.has(piece.variable));
  return pieces.flatMap(({ variable, choice }) =>
    choice.some((one) => space.bdd.meets(visited, space.set(one.when))) ? [variable.name] : [],
  );
}

function inPauses(search: Search): readonly string[] {
  return [...search.firing].flatMap(({ cause, operations }) =>
    cause.kind === "move" ? [cause.gauge] : operations.flatMap(assigned).map((variable) => variable.name),
  );
}
