import { type Expression, FALSE, type Variable, variablesOf } from "../machine/expression.js";
import type { Node } from "../machine/graph/graph.js";
import { EMPTY, FULL, type Ref } from "../machine/symbolic/bdd.js";
import type { Factored } from "../machine/symbolic/factored.js";
import type { Search } from "../machine/symbolic/search.js";
import type { Path, PathStep } from "../machine/symbolic/trace.js";
import { Walk } from "../machine/symbolic/walk.js";
import type { Transition } from "../machine/transitions.js";
import type { Hurdle } from "./learned.js";
import { placeAfter, placeOf } from "./path.js";
import type { Query } from "./query.js";

/** A way that can be gone in the whole as well, or what stands in the way: nothing where that cannot be told. */
export type Lifted = { readonly path: Path } | { readonly hurdles: readonly Hurdle[] };

/** The same acts and changes in the whole model, where they can be done and end wrong there too. `by`: the search of a slice that found them. */
export function lift(whole: Search, query: Query, path: Path, by?: Search): Lifted {
  const { space, transitions } = whole;
  const walk = new Walk(space, whole.start);
  const steps = path.steps.map(({ from, transition }) => ({ from, transition: transitions.like(from, transition) }));
  const isOpen = steps.every(
    ({ transition }, index) => walk.go(transition, path.endsAtMoment && index === steps.length - 1).core !== EMPTY,
  );
  const sets = isOpen && walk.into(askedAt(whole, query, path));
  if (sets) return { path: { ...path, steps, sets, walkable: walk.into(FULL)![0]!, passed: walk.passed } };
  return { hurdles: by ? hurdlesOn(whole, path, startsOf(whole, path.sets[0]!, by)) : [] };
}

/**
 * Goes the same way in the whole, from all starts, as far as it can be gone, or for so many steps; `visit` sees what comes to each
 * place.
 */
export function goAlong(
  whole: Search,
  steps: readonly PathStep[],
  visit: (place: Node, states: Factored) => void,
  count = steps.length,
): void {
  let states = whole.space.factoring.of(whole.start);
  visit(whole.transitions.model.graph.start, states);
  for (const { from, transition } of steps.slice(0, count)) {
    states = onward(whole, states, whole.transitions.like(from, transition), false);
    if (states.core === EMPTY) return;
    visit(placeOf({ from, transition }), states);
  }
}

/** What keeps the whole from going a way from some starts; where one thing does, it is followed as if it did not, for what comes after it. */
export function hurdlesOn(
  whole: Search,
  { steps, endsAtMoment }: Pick<Path, "steps" | "endsAtMoment">,
  starts: Ref,
): readonly Hurdle[] {
  const { factoring } = whole.space;
  const found: Hurdle[] = [];
  let states = factoring.of(startsBeside(whole, starts, found));
  for (const [index, step] of steps.entries()) {
    const transition = whole.transitions.like(step.from, step.transition);
    const toMoment = endsAtMoment && index === steps.length - 1;
    let next = onward(whole, states, transition, toMoment);
    while (next.core === EMPTY) {
      const hurdle = hurdleAt(whole, factoring.plain(states), step);
      if (hurdle.variables.length === 0 || found.length === MOST_HURDLES) return found;
      found.push(hurdle);
      states = factoring.forward(states, [{ kind: "forget", variables: hurdle.variables }]);
      next = onward(whole, states, transition, toMoment);
    }
    states = next;
  }
  return found;
}

const MOST_HURDLES = 12;

function onward({ space }: Search, states: Factored, transition: Transition, toMoment: boolean): Factored {
  const { factoring } = space;
  const { operations, rest, broken } = transition;
  if (operations.length === 0 && rest.length === 0 && broken === FALSE) return states;
  const moment = factoring.forward(states, operations);
  if (toMoment || moment.core === EMPTY) return moment;
  const unbroken = factoring.without(moment, space.set(transition.broken));
  return factoring.sharpened(factoring.forward(unbroken, transition.rest));
}

function askedAt(whole: Search, { atPlace, atEdges }: Query, path: Path): Ref {
  const { space, transitions } = whole;
  if (!path.endsAtMoment) return space.set(atPlace.get(placeAfter(whole, path).id) ?? FALSE);
  const { from, transition } = path.steps.at(-1)!;
  const looked = transition.cause.kind === "edge" && atEdges?.get(transition.cause.edge);
  return space.set(looked || transitions.like(from, transition).broken);
}

/** Starts of a slice as those of the whole. */
export function startsOf({ space }: Search, starts: Factored, by: Search): Ref {
  return space.taken(by.space.factoring.plain(starts), by.space);
}

/** The starts with those of all parts of what a start satisfies that do not shut them out; those that do are hurdles. */
function startsBeside({ space, transitions }: Search, wanted: Ref, found: Hurdle[]): Ref {
  const inAll = space.bdd.and(wanted, space.setOfAll(transitions.start()));
  if (inAll !== EMPTY) return inAll;
  return transitions.start().reduce((left, part) => {
    const next = space.bdd.and(left, space.set(part));
    if (next !== EMPTY) return next;
    found.push({ variables: named([part]), rank: 0 });
    return left;
  }, wanted);
}

/** What keeps the states from a step: a change that has to come first, or what the slice left out of it. */
function hurdleAt({ space, transitions }: Search, states: Ref, { from, transition }: PathStep): Hurdle {
  const { graph, dynamics } = transitions.model;
  const rank = graph.ranks[from.id]!;
  const isIn = (part: Expression) => [...variablesOf(part)].every((variable) => space.has(variable));
  const { cause, dropped } = transition;
  const waits = cause.kind === "edge" && transitions.lead(cause.edge).length > 0;
  if (waits && space.forward(states, transitions.untilReady) === EMPTY) {
    const forced = dynamics.forced.kind === "or" ? dynamics.forced.of : [dynamics.forced];
    const held = forced.filter((part) => isIn(part) && space.bdd.meets(states, space.set(part)));
    const alone = held.find((part) => space.bdd.isWithin(states, space.set(part)));
    return { variables: named(alone ? [alone] : held), rank };
  }
  const all = dropped.filter(isIn);
  const hard = all.find((part) => !space.bdd.meets(states, space.set(part)));
  return { variables: named(hard ? [hard] : all), rank };
}

function named(parts: readonly Expression[]): readonly Variable[] {
  return [...new Set(parts.flatMap((part) => [...variablesOf(part)]))];
}
