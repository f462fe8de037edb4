import type { Node } from "../../machine/graph/graph.js";
import { assigned } from "../../machine/operation.js";
import { EMPTY, FULL } from "../../machine/symbolic/bdd.js";
import type { Search } from "../../machine/symbolic/search.js";
import type { Transition } from "../../machine/transitions.js";
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
  const places = new Map<Transition, Node[]>();
  for (const node of transitions.model.graph.nodes) {
    if (reached[node.id] === EMPTY) continue;
    for (const pause of transitions.pausesAt(node)) places.set(pause, [...(places.get(pause) ?? []), node]);
  }
  return [...places].flatMap(([{ cause, operations }, nodes]) => {
    const first = operations[0];
    const guard = first?.kind === "assume" ? space.set(first.condition) : FULL;
    if (nodes.every((node) => space.bdd.and(reached[node.id]!, guard) === EMPTY)) return [];
    return cause.kind === "move" ? [cause.gauge] : operations.flatMap(assigned).map((variable) => variable.name);
  });
}
