import { type Expression, FALSE, type Variable, variablesOf } from "../machine/expression.js";
import { EMPTY, FULL, type Ref } from "../machine/symbolic/bdd.js";
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

/** Can the whole model go the same way and end wrong? Else what stands in the way, if that can be told. */
export function canLift(whole: Search, query: Query, path: Path, by: Search): boolean | Hurdle | undefined {
  const { walk, hurdle } = walkLike(whole, path, by);
  if (!walk) return hurdle;
  return whole.space.factoring.meets(walk.states, askedAt(whole, query, path)) || undefined;
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
