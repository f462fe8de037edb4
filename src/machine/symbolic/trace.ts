import { InvariantError, invariant } from "../../invariant.js";
import type { Variable } from "../expression.js";
import type { Edge, Node } from "../graph/graph.js";
import type { Transition } from "../transitions.js";
import { EMPTY, FULL, type Ref } from "./bdd.js";
import type { Factored } from "./factored.js";
import type { Goal } from "./goal.js";
import { momentsToGo, type Scout } from "./scout.js";
import type { Search } from "./search.js";
import { costOf, type Layer, Waves } from "./waves.js";

/** A shortest way to a goal. Transitions fix the branches and the delayed changes. */
export interface Path {
  readonly steps: readonly PathStep[];
  /** States at the beginning of each step that can go the whole way, then those in which it is wrong: one more than steps. */
  readonly sets: readonly Factored[];
  /** The starts that can go the way, wrong in the end or not, where they are known. */
  readonly walkable?: Factored;
  /** All states that can come to the beginning of each step, whether they can go on or not, where they are known. */
  readonly passed?: readonly Factored[];
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
 * The path of fewest moments to the goal; of equals the one whose last step `prefer`s lowest. Undefined: none leads there. A
 * scout has searched the same question in a slice of the model to its end: where it did not find what is asked for, it is not.
 */
export function shortestPath(
  search: Search,
  goal: Goal,
  prefer: (path: Path) => number,
  scout?: Scout,
): Path | undefined {
  const waves = scout ? new Waves(search, momentsToGo(scout)) : (floods.get(search) ?? new Waves(search));
  if (!scout) floods.set(search, waves);
  const found = new Map<number, Hit[]>();
  for (let moments = 0; ; moments++) {
    const layer = waves.layer(moments);
    if (!layer && ![...found.keys()].some((later) => later >= moments)) return undefined;
    for (const hit of layer ? hitsIn(search, goal, waves, layer) : []) {
      const at = hit.transition ? waves.through(hit.wave, hit.node, hit.transition) : moments;
      found.set(at, [...(found.get(at) ?? []), hit]);
    }
    const hits = foremost(found.get(moments) ?? []);
    if (hits.length > 0)
      return best(
        hits.map((hit) => ({ ...backtrack(search, waves, hit), moments })),
        prefer,
      );
  }
}

/** Kept: several stories can be told of one search. */
const floods = new WeakMap<Search, Waves>();

/** At moments first, then at places, then on free edges. */
function foremost(hits: readonly Hit[]): readonly Hit[] {
  const atMoments = hits.filter(({ transition }) => transition && costOf(transition) > 0);
  if (atMoments.length > 0) return atMoments;
  const atPlaces = hits.filter(({ transition }) => !transition);
  return atPlaces.length > 0 ? atPlaces : hits;
}

function hitsIn(search: Search, goal: Goal, waves: Waves, layer: Layer): readonly Hit[] {
  return [
    ...hitsAtPlaces(search, goal, waves, layer),
    ...(goal.atEdges ? hitsAtEdges(search, goal.atEdges, waves, layer) : []),
    ...(goal.atBreach ? breachHits(search, goal.atBreach, layer) : []),
  ];
}

function breachHits(
  { space }: Search,
  counts: (transition: Transition, from: Node) => boolean,
  { breaches }: Layer,
): readonly Hit[] {
  return breaches
    .filter(({ transition, node }) => counts(transition, node))
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

function hitsAtEdges(
  { transitions, space }: Search,
  atEdges: ReadonlyMap<Edge, Ref>,
  waves: Waves,
  { first, last }: Layer,
): readonly Hit[] {
  const hits: Hit[] = [];
  for (let wave = first; wave < last; wave++) {
    for (const [edge, asked] of atEdges) {
      const node = edge.from;
      if (!waves.waves[wave]!.at.has(node)) continue;
      const transition = transitions.of(edge);
      const moment = space.factoring.forward(waves.statesAt(wave, node), transition.operations);
      const states = space.factoring.and(moment, asked);
      if (states.core !== EMPTY) hits.push({ wave, node, transition, states, asked });
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

function backtrack(search: Search, flood: Waves, hit: Hit): Omit<Path, "moments"> {
  const { space } = search;
  const steps: PathStep[] = [];
  let { wave, node } = hit;
  let states = space.factoring.plain(hit.states);
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
  return { steps, sets: alongOrFail(search, steps, hit), endsAtMoment: hit.transition !== undefined };
}

function alongOrFail(search: Search, steps: readonly PathStep[], hit: Hit): readonly Factored[] {
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
  const ways = [
    ...search.edgesTo(node).map((edge) => ({ from: edge.from, transition: transitions.of(edge) })),
    ...transitions.pausesAt(node).map((transition) => ({ from: node, transition })),
  ];
  const earliest = free ? wave - 1 : 0;
  for (let index = wave - 1; index >= earliest; index--) {
    const longer = layer - waves[index]!.layer;
    if (!free && longer === 0) continue;
    for (const { from, transition } of ways) {
      if (!waves[index]!.at.has(from) || flood.longer(from, transition) !== longer) continue;
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
  const others = bdd.diff(start, condition);
  const literals = new Map<Variable, readonly number[]>();
  for (const variable of names) literals.set(variable, [chosen.get(variable) ?? 0]);
  const isEnough = (): boolean => !space.meetsWhere(literals, others);
  if (condition === FULL || !isEnough()) return [];
  const exactness = (variable: Variable) =>
    variable.role.kind === "gauge-place" ? 1 + ((chosen.get(variable) ?? 0) % 2) : 0;
  const tried = names.toReversed().sort((a, b) => exactness(b) - exactness(a));
  /** Goes through a stretch of them, one after the other; all of it goes at once where it can. */
  const drop = (from: number, to: number): void => {
    const stretch = tried.slice(from, to).map((variable) => [variable, literals.get(variable)!] as const);
    for (const [variable] of stretch) literals.delete(variable);
    if (isEnough()) return;
    for (const [variable, values] of stretch) literals.set(variable, values);
    if (to - from === 1) return;
    const middle = (from + to) >> 1;
    drop(from, middle);
    drop(middle, to);
  };
  if (tried.length > 0) drop(0, tried.length);
  const left = [...literals.keys()].sort((a, b) => exactness(a) - exactness(b));
  for (const variable of left) {
    for (let value = 0; value < variable.size; value++) {
      const narrow = literals.get(variable)!;
      if (narrow.includes(value) || narrow.length === variable.size - 1) continue;
      literals.set(variable, [...narrow, value]);
      if (!isEnough()) literals.set(variable, narrow);
    }
  }
  return names.flatMap((variable) => {
    const values = literals.get(variable);
    return values ? [{ variable, values: [...values].sort((a, b) => a - b) }] : [];
  });
}
