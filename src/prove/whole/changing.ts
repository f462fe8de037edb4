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
function byActs(search: Search): readonly string[] {
  const { space, reached } = search;
  return search.transitions.model.graph.edges.flatMap((edge) => {
    const from = reached[edge.from.id]!;
    if (from === EMPTY) return [];
    return edge.operations.flatMap((operation) => {
      if (operation.kind !== "assign" || !space.has(operation.variable)) return [];
      const moves = space.bdd.diff(from, space.value(operation.variable, operation.value)) !== EMPTY;
      return moves ? [operation.variable.name] : [];
    });
  });
}

function bySettling(context: Context, search: Search): readonly string[] {
  const { space } = search;
  const moving = [...search.moving.values()].reduce((sum, states) => space.bdd.or(sum, states), EMPTY);
  const { visited } = rounds(search, moving);
  const pieces = context.model.dynamics.immediate.filter((piece) => context.whole.has(piece.variable));
  return pieces.flatMap(({ variable, choice }) =>
    choice.some((one) => space.bdd.and(visited, space.set(one.when)) !== EMPTY) ? [variable.name] : [],
  );
}

function inPauses(search: Search): readonly string[] {
  const { space, reached, transitions } = search;
  return transitions.model.graph.nodes.flatMap((node) =>
    transitions.pausesAt(node).flatMap(({ cause, operations }) => {
      const first = operations[0];
      const guard = first?.kind === "assume" ? space.set(first.condition) : space.bdd.not(EMPTY);
      if (space.bdd.and(reached[node.id]!, guard) === EMPTY) return [];
      if (cause.kind === "move") return [cause.gauge];
      return operations.flatMap(assigned).map((variable) => variable.name);
    }),
  );
}
