import { InvariantError } from "../../invariant.js";
import type { Node } from "../graph/graph.js";
import type { Transition } from "../transitions.js";
import type { Arrival } from "./arrival.js";
import { EMPTY, type Ref } from "./bdd.js";
import type { Search } from "./search.js";
import type { PathStep } from "./trace.js";

/**
 * A way on which a search came to some of the states of a place, not always a shortest one: back from arrival to arrival, with no more
 * pauses than each needs. Undefined where it came to none of them. The search has been run to its end.
 */
export function wayTo(search: Search, node: Node, asked: Ref): readonly PathStep[] | undefined {
  const { factoring } = search.space;
  const meeting = firstOf(search.arrivalsAt(node), (arrival) => {
    const part = arrival.parts.findIndex(({ states }) => factoring.meets(states, asked));
    return part < 0 ? undefined : { arrival, part, states: asked };
  });
  const steps: PathStep[] = [];
  for (let at = meeting; at; ) {
    const { arrival, part } = at;
    const { states: here, pause } = arrival.parts[part]!;
    if (!pause && arrival.from.length === 0) return steps.reverse();
    const states = factoring.plain(factoring.and(here, at.states));
    const before: Before | undefined = pause
      ? beforeIn(search, arrival, pause, states, part)
      : firstOf(arrival.from, ({ arrival: source, edge }) =>
          beforeIn(search, source, search.transitions.of(edge), states),
        );
    if (!before) throw new InvariantError("what came to a place came from somewhere");
    steps.push({ from: before.arrival.node, transition: before.transition });
    at = before;
  }
  return undefined;
}

/** Where a step begins that leads on. */
interface Before {
  readonly arrival: Arrival;
  readonly part: number;
  readonly states: Ref;
  readonly transition: Transition;
}

/** The first of the parts from which a transition leads into the states. */
function beforeIn(
  search: Search,
  arrival: Arrival,
  transition: Transition,
  into: Ref,
  count = arrival.parts.length,
): Before | undefined {
  for (let part = 0; part < count; part++) {
    const states = search.back(search.wayFrom(transition, arrival.parts[part]!.states), into);
    if (states !== EMPTY) return { arrival, part, states, transition };
  }
  return undefined;
}

function firstOf<T, R>(items: readonly T[], found: (item: T) => R | undefined): R | undefined {
  for (const item of items) {
    const result = found(item);
    if (result !== undefined) return result;
  }
  return undefined;
}
