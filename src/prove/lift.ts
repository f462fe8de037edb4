import { type Expression, FALSE, type Variable, variablesOf } from "../machine/expression.js";
import type { Node } from "../machine/graph/graph.js";
import { EMPTY, FULL, type Ref } from "../machine/symbolic/bdd.js";
import type { Factored } from "../machine/symbolic/factored.js";
import type { Search } from "../machine/symbolic/search.js";
import type { Path, PathStep } from "../machine/symbolic/trace.js";
import { Walk } from "../machine/symbolic/walk.js";
import type { Hurdle } from "./learned.js";
import { placeAfter } from "./path.js";
import type { Query } from "./query.js";

/** A way that can be gone in the whole as well, or what stands in the way; neither where that cannot be told. */
export interface Lifted {
  readonly path?: Path;
  readonly hurdle?: Hurdle;
}

/** The same acts and changes in the whole model, where they can be done and end wrong there too. `by`: the search of a slice that found them. */
export function lift(whole: Search, query: Query, path: Path, by?: Search): Lifted {
  const { walk, steps, hurdle } = walkLike(whole, path, by);
  if (!walk) return hurdle ? { hurdle } : {};
  const sets = walk.into(askedAt(whole, query, path));
  return sets ? { path: { ...path, steps, sets } } : {};
}

/** What keeps the whole model from going the same way to a wrong end; undefined where that cannot be told. */
export function hurdleOn(whole: Search, path: Path, by: Search): Hurdle | undefined {
  return walkLike(whole, path, by).hurdle;
}

/** Goes the same way in the whole, from all starts, as far as it can be gone; `visit` sees what comes to each place. */
export function goAlong(whole: Search, path: Path, visit: (place: Node, states: Factored) => void): void {
  const walk = new Walk(whole.space, whole.start);
  visit(whole.transitions.model.graph.start, walk.states);
  for (const { from, transition } of path.steps) {
    const states = walk.go(whole.transitions.like(from, transition), false);
    if (states.core === EMPTY) return;
    visit(transition.cause.kind === "edge" ? transition.cause.edge.to : from, states);
  }
}

function askedAt(whole: Search, { atPlace }: Query, path: Path): Ref {
  const wrong = path.endsAtMoment
    ? whole.transitions.like(path.steps.at(-1)!.from, path.steps.at(-1)!.transition).broken
    : atPlace.get(placeAfter(whole, path).id);
  return whole.space.set(wrong ?? FALSE);
}

interface Gone {
  readonly steps: readonly PathStep[];
  readonly walk?: Walk;
  readonly hurdle?: Hurdle;
}

function walkLike(whole: Search, path: Path, by?: Search): Gone {
  const { space, transitions } = whole;
  const { bdd, factoring } = space;
  const steps = path.steps.map(({ from, transition }) => ({ from, transition: transitions.like(from, transition) }));
  const wanted = by ? space.taken(by.space.factoring.plain(path.sets[0]!), by.space) : FULL;
  const starts = bdd.and(whole.start, wanted);
  if (starts === EMPTY) return { steps, hurdle: { variables: startHurdle(whole, wanted), rank: 0 } };
  const walk = new Walk(space, starts);
  for (const [index, { transition }] of steps.entries()) {
    const ahead = walk.states;
    if (walk.go(transition, path.endsAtMoment && index === steps.length - 1).core !== EMPTY) continue;
    return { steps, hurdle: hurdleAt(whole, factoring.plain(ahead), path.steps[index]!) };
  }
  return { steps, walk };
}

/** What of all that a start satisfies shuts out the states. */
function startHurdle({ space, transitions }: Search, wanted: Ref): readonly Variable[] {
  let left = wanted;
  for (const part of transitions.start()) {
    left = space.bdd.and(left, space.set(part));
    if (left === EMPTY) return [...variablesOf(part)];
  }
  return [];
}

/** What keeps the states from a step: a change that has to come first, or what the slice left out of it. */
function hurdleAt({ space, transitions }: Search, states: Ref, { from, transition }: PathStep): Hurdle {
  const { graph, dynamics } = transitions.model;
  const rank = graph.ranks[from.id]!;
  const isIn = (part: Expression) => [...variablesOf(part)].every((variable) => space.has(variable));
  const { cause, dropped } = transition;
  const { untilReady } = transitions;
  const waits = cause.kind === "edge" && transitions.lead(cause.edge).length > 0;
  if (waits && space.forward(states, untilReady) === EMPTY) {
    const forced = dynamics.forced.kind === "or" ? dynamics.forced.of : [dynamics.forced];
    const held = forced.filter((part) => isIn(part) && space.bdd.and(states, space.set(part)) !== EMPTY);
    const alone = held.find((part) => space.bdd.diff(states, space.set(part)) === EMPTY);
    return { variables: named(alone ? [alone] : held), rank };
  }
  const hard = dropped.find((part) => isIn(part) && space.bdd.and(states, space.set(part)) === EMPTY);
  return { variables: named(hard ? [hard] : dropped), rank };
}

function named(parts: readonly Expression[]): readonly Variable[] {
  return [...new Set(parts.flatMap((part) => [...variablesOf(part)]))];
}
