import { EMPTY, type Ref } from "../../machine/symbolic/bdd.js";
import type { Search } from "../../machine/symbolic/search.js";
import type { Transition } from "../../machine/transitions.js";
import { assigned } from "../../machine/transitions.js";

/** Names of what some act or change changes in some state that can be reached. */
export function changingOf(search: Search): ReadonlySet<string> {
  const changing = new Set<string>();
  const { graph } = search.transitions.model;
  for (const node of graph.nodes) {
    const states = search.reached[node.id]!;
    if (states === EMPTY) continue;
    for (const transition of [
      ...search.edgesFrom(node).map((edge) => search.transitions.of(edge)),
      ...search.transitions.pausesAt(node),
    ]) {
      noteChanges(search, transition, states, changing);
    }
  }
  return changing;
}

function noteChanges(search: Search, transition: Transition, from: Ref, changing: Set<string>): void {
  const { space } = search;
  let states = from;
  for (const operation of transition.operations) {
    if (operation.kind === "assign" && !changing.has(operation.variable.name)) {
      if (space.bdd.diff(states, space.value(operation.variable, operation.value)) !== EMPTY)
        changing.add(operation.variable.name);
    }
    if (operation.kind === "settle") noteSettling(search, states, changing);
    states = space.forward(states, [operation]);
    if (states === EMPTY) return;
    if (operation.kind === "havoc") for (const variable of assigned(operation)) changing.add(variable.name);
  }
  if (transition.cause.kind === "move") changing.add(transition.cause.gauge);
}

function noteSettling(search: Search, states: Ref, changing: Set<string>): void {
  const { space } = search;
  const seen = new Set<Ref>();
  for (let moving = space.bdd.diff(states, space.settled); moving !== EMPTY && !seen.has(moving); ) {
    seen.add(moving);
    for (const choice of search.transitions.settling.choices) {
      const variable = choice[0]!.assign[0]!.variable;
      if (choice.some((one) => space.bdd.and(moving, space.set(one.when)) !== EMPTY)) changing.add(variable.name);
    }
    moving = space.bdd.diff(space.round(moving), space.settled);
  }
}
