import { InvariantError, invariant } from "../../invariant.js";
import type { Variable } from "../expression.js";
import type { Node } from "../graph/graph.js";
import type { Transition } from "../transitions.js";
import { EMPTY, FULL, type Ref } from "./bdd.js";
import type { Factored } from "./factored.js";
import type { Goal } from "./goal.js";
import type { Guide } from "./guide.js";
import type { Search } from "./search.js";
import { costOf, type FirstBreach, type Layer, Waves } from "./waves.js";

/** A shortest way to a goal. Transitions fix the branches and the delayed changes. */
export interface Path {
  readonly steps: readonly PathStep[];
  /** States at the beginning of each step that can go the whole way, then those in which it is wrong: one more than steps. */
  readonly sets: readonly Ref[];
  /** True when the last set is at the moment of the last transition, ahead of its `rest`. */
  readonly endsAtMoment: boolean;
  readonly moments: number;
}

export interface PathStep {
  readonly from: Node;
  readonly transition: Transition;
}

/** Where what is asked for is met. */
interface Hit {
  readonly wave: number;
  readonly node: Node;
  readonly transition?: Transition;
  readonly states: Factored;
  /** All that is asked for, reached or not. */
  readonly asked: Ref;
}

/**
 * The path of fewest moments to the goal; of equals the one whose last step `prefer`s lowest. Undefined: none leads there. With a
 * guide only what can still be on a way of so many moments is looked at: few at first, then more and more.
 */
export function shortestPath(
  search: Search,
  goal: Goal,
  prefer: (path: Path) => number,
  guide?: Guide,
): Path | undefined {
  const least = guide?.fromStart;
  if (guide && least !== undefined) {
    for (let more = 0; more < MOST_MORE; more += 1 + (more >> 2)) {
      const bound = least + more;
      const waves = new Waves(search, (node, layer) => guide.at(node.id, bound - layer, search));
      const found = firstIn(search, goal, prefer, waves, bound);
      if (found) return found;
    }
  }
  const waves = floods.get(search) ?? new Waves(search);
  floods.set(search, waves);
  return firstIn(search, goal, prefer, waves, Number.POSITIVE_INFINITY);
}

/** Moments beyond the least from which on a guide is no longer worth its while. */
const MOST_MORE = 32;

/** Kept: several stories can be told of one search. */
const floods = new WeakMap<Search, Waves>();

function firstIn(
  search: Search,
  goal: Goal,
  prefer: (path: Path) => number,
  waves: Waves,
  bound: number,
): Path | undefined {
  for (let index = 0; index <= bound; index++) {
    const layer = waves.layer(index);
    if (!layer) return undefined;
    const hits = hitsIn(search, goal, waves, index, layer);
    if (hits.length > 0)
      return best(
        hits.map((hit) => backtrack(search, waves, hit)),
        prefer,
      );
  }
  return undefined;
}

/** At places first, then on free edges, then at the moments that come next. */
function hitsIn(search: Search, goal: Goal, waves: Waves, index: number, layer: Layer): readonly Hit[] {
  const atPlaces = hitsAtPlaces(search, goal, waves, layer);
  if (atPlaces.length > 0) return atPlaces;
  const moments = goal.atMoment ? hitsAtMoments(search, goal.atMoment, waves, layer) : [];
  const free = moments.filter((hit) => costOf(hit.transition!) === 0);
  if (!goal.atBreach) return free.length > 0 ? free : moments;
  const freeBreaches = breachHits(search, goal.atBreach, layer.freeBreaches);
  if (free.length + freeBreaches.length > 0) return [...free, ...freeBreaches];
  return [...moments, ...breachHits(search, goal.atBreach, waves.breachesAfter(index))];
}

function breachHits(
  { space }: Search,
  counts: (transition: Transition) => boolean,
  breaches: readonly FirstBreach[],
): readonly Hit[] {
  return breaches
    .filter(({ transition }) => counts(transition))
    .map((breach) => ({ ...breach, asked: space.set(breach.transition.broken) }));
}

function hitsAtPlaces({ space }: Search, { atPlace }: Goal, waves: Waves, { first, last }: Layer): readonly Hit[] {
  const hits: Hit[] = [];
  if (atPlace.size === 0) return hits;
  for (let wave = first; wave < last; wave++) {
    for (const node of waves.waves[wave]!.at.keys()) {
      const asked = atPlace.get(node.id) ?? EMPTY;
      if (asked === EMPTY) continue;
      const states = space.factoring.and(waves.statesAt(wave, node), asked);
      if (states.core !== EMPTY) hits.push({ wave, node, states, asked });
    }
  }
  return hits;
}

function hitsAtMoments(
  search: Search,
  atMoment: (transition: Transition) => Ref,
  waves: Waves,
  { first, last }: Layer,
): readonly Hit[] {
  const { transitions, space } = search;
  const hits: Hit[] = [];
  for (let wave = first; wave < last; wave++) {
    for (const node of waves.waves[wave]!.at.keys()) {
      const ways = [...transitions.pausesAt(node), ...search.edgesFrom(node).map((edge) => transitions.of(edge))];
      for (const transition of ways) {
        const asked = atMoment(transition);
        if (asked === EMPTY) continue;
        const moment = space.factoring.forward(waves.statesAt(wave, node), transition.operations);
        const states = space.factoring.and(moment, asked);
        if (states.core !== EMPTY) hits.push({ wave, node, transition, states, asked });
      }
    }
  }
  return hits;
}

function best(paths: readonly Path[], prefer: (path: Path) => number): Path {
  return paths.reduce((chosen, path) => {
    if (path.moments !== chosen.moments) return path.moments < chosen.moments ? path : chosen;
    return prefer(path) < prefer(chosen) ? path : chosen;
  });
}

function backtrack(search: Search, flood: Waves, hit: Hit): Path {
  const { waves } = flood;
  const { space } = search;
  const steps: PathStep[] = [];
  let { wave, node } = hit;
  let states = space.factoring.plain(hit.states);
  const { layer } = waves[wave]!;
  if (hit.transition) {
    steps.push({ from: node, transition: hit.transition });
    states = space.backwardWithin(states, hit.transition.operations, statesAt(search, flood, wave, node));
  }
  while (wave > 0) {
    const found = predecessor(search, flood, wave, node, states);
    steps.push({ from: found.node, transition: found.transition });
    ({ wave, node, states } = found);
  }
  steps.reverse();
  const moments = layer + (hit.transition ? costOf(hit.transition) : 0);
  return { steps, sets: alongOrFail(search, steps, hit), endsAtMoment: hit.transition !== undefined, moments };
}

function alongOrFail(search: Search, steps: readonly PathStep[], hit: Hit): readonly Ref[] {
  const sets = search.setsAlong(steps, hit.asked, hit.transition !== undefined);
  invariant(sets, "a path that was found can be gone");
  return sets;
}

interface Found {
  readonly wave: number;
  readonly node: Node;
  readonly transition: Transition;
  readonly states: Ref;
}

function predecessor(search: Search, flood: Waves, wave: number, node: Node, states: Ref): Found {
  const { waves } = flood;
  const { transitions } = search;
  const { free, layer } = waves[wave]!;
  const edges = search.edgesTo(node).filter((edge) => (edge.kind !== "act") === free);
  const ways = edges.map((edge) => ({ from: edge.from, transition: transitions.of(edge) }));
  if (!free) ways.push(...transitions.pausesAt(node).map((transition) => ({ from: node, transition })));
  for (let index = wave - 1; index >= 0; index--) {
    if (free ? index < wave - 1 : waves[index]!.layer < layer - 1) break;
    for (const { from, transition } of ways) {
      if (!waves[index]!.at.has(from)) continue;
      const here = statesAt(search, flood, index, from);
      const before = search.before(transition, states, here);
      if (before !== EMPTY) return { wave: index, node: from, transition, states: before };
    }
  }
  throw new InvariantError("a wave has no predecessor");
}

function statesAt({ space }: Search, waves: Waves, wave: number, node: Node): Ref {
  return space.factoring.plain(waves.statesAt(wave, node));
}

/** Some values of a variable: what a literal of a condition on starts says. */
export interface Literal {
  readonly variable: Variable;
  readonly values: readonly number[];
}

/**
 * A prime implicant of a condition on start states: literals that together (with what every start satisfies) make it
 * true, none of which can go and none of which can be wider. How two gauges stand to each other is kept rather than where each is.
 */
export function primeImplicant(search: Search, condition: Ref, start: Ref): readonly Literal[] {
  const { space } = search;
  const { bdd } = space;
  const chosen = space.pick(bdd.and(condition, start));
  const names = space.supportOf(condition);
  const literals = new Map<Variable, readonly number[]>();
  for (const variable of names) literals.set(variable, [chosen.get(variable) ?? 0]);
  const isEnough = (): boolean => {
    let cube: Ref = start;
    for (const [variable, values] of literals) {
      cube = bdd.and(
        cube,
        values.reduce<Ref>((sum, value) => bdd.or(sum, space.value(variable, value)), EMPTY),
      );
    }
    return bdd.diff(cube, condition) === EMPTY;
  };
  if (condition === FULL || !isEnough()) return [];
  const exactness = (variable: Variable) =>
    variable.role.kind === "gauge-place" ? 1 + ((chosen.get(variable) ?? 0) % 2) : 0;
  for (const variable of names.toReversed().sort((a, b) => exactness(b) - exactness(a))) {
    const values = literals.get(variable)!;
    literals.delete(variable);
    if (!isEnough()) literals.set(variable, values);
  }
  for (const [variable, values] of [...literals].sort(([a], [b]) => exactness(a) - exactness(b))) {
    for (let value = 0; value < variable.size; value++) {
      if (literals.get(variable)!.includes(value)) continue;
      const narrow = literals.get(variable) ?? values;
      literals.set(variable, [...narrow, value]);
      if (!isEnough()) literals.set(variable, narrow);
    }
  }
  return names.flatMap((variable) => {
    const values = literals.get(variable);
    return values ? [{ variable, values: [...values].sort((a, b) => a - b) }] : [];
  });
}
