import { InvariantError, invariant } from "../../invariant.js";
import type { Variable } from "../expression.js";
import type { Edge, Node } from "../graph/graph.js";
import type { Transition } from "../transitions.js";
import { EMPTY, FULL, type Ref } from "./bdd.js";
import { OutOfTime, type Search } from "./search.js";

/** What a shortest path is looked for to: a moment of a transition, or a place. */
export interface Goal {
  /** What is wrong at the moment of a transition; EMPTY where nothing is asked. */
  readonly atMoment: (transition: Transition, from: Node) => Ref;
  /** What is wrong at a place, by node id. */
  readonly atPlace: ReadonlyMap<number, Ref>;
}

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

interface Wave {
  readonly states: Map<number, Ref>;
  readonly layer: number;
  /** Came from the wave before it at no cost. */
  readonly free: boolean;
}

interface Hit {
  readonly wave: number;
  readonly node: Node;
  readonly transition?: Transition;
  readonly states: Ref;
  /** All that is asked for, reached or not. */
  readonly asked: Ref;
}

/** The path of fewest moments to the goal; of equals the one whose last step `prefer`s lowest. Undefined: none leads there. */
export function shortestPath(
  search: Search,
  goal: Goal,
  prefer: (path: Path) => number,
  deadline?: () => boolean,
): Path | undefined {
  const { graph } = search.transitions.model;
  const waves: Wave[] = [{ states: new Map([[graph.start.id, search.start]]), layer: 0, free: false }];
  const seen: Ref[] = graph.nodes.map(() => EMPTY);
  seen[graph.start.id] = search.start;
  const incoming = incomingOf(graph.edges);
  for (let layer = 0; waves.at(-1)!.states.size > 0; layer++) {
    const first = waves.length - 1;
    closeLayer(search, waves, seen, layer);
    if (deadline?.()) throw new OutOfTime();
    const hits = hitsOf(search, goal, waves, first);
    if (hits.length > 0)
      return best(
        hits.map((hit) => backtrack(search, waves, incoming, hit, layer)),
        prefer,
      );
    waves.push({ states: stepOn(search, waves, first, seen), layer: layer + 1, free: false });
  }
  return undefined;
}

function best(paths: readonly Path[], prefer: (path: Path) => number): Path {
  return paths.reduce((chosen, path) => {
    if (path.moments !== chosen.moments) return path.moments < chosen.moments ? path : chosen;
    return prefer(path) < prefer(chosen) ? path : chosen;
  });
}

/** Adds the waves that passes and ticks make, until nothing is new. */
function closeLayer(search: Search, waves: Wave[], seen: Ref[], layer: number): void {
  for (let wave = waves.at(-1)!; wave.states.size > 0; wave = waves.at(-1)!) {
    const next = new Map<number, Ref>();
    for (const [id, states] of wave.states) {
      const node = search.transitions.model.graph.nodes[id]!;
      for (const edge of search.edgesFrom(node)) {
        if (edge.kind !== "act")
          spread(search, next, seen, edge.to, image(search, search.transitions.of(edge), states));
      }
    }
    if (next.size === 0) return;
    waves.push({ states: next, layer, free: true });
  }
}

function stepOn(search: Search, waves: readonly Wave[], first: number, seen: Ref[]): Map<number, Ref> {
  const next = new Map<number, Ref>();
  for (const wave of waves.slice(first)) {
    for (const [id, states] of wave.states) {
      const node = search.transitions.model.graph.nodes[id]!;
      for (const pause of search.transitions.pausesAt(node))
        spread(search, next, seen, node, image(search, pause, states));
      for (const edge of search.edgesFrom(node)) {
        if (edge.kind === "act")
          spread(search, next, seen, edge.to, image(search, search.transitions.of(edge), states));
      }
    }
  }
  return next;
}

function spread(search: Search, into: Map<number, Ref>, seen: Ref[], to: Node, states: Ref): void {
  const { bdd } = search.space;
  const fresh = bdd.diff(states, seen[to.id]!);
  if (fresh === EMPTY) return;
  seen[to.id] = bdd.or(seen[to.id]!, fresh);
  into.set(to.id, bdd.or(into.get(to.id) ?? EMPTY, fresh));
}

function image(search: Search, transition: Transition, states: Ref): Ref {
  const { space } = search;
  const moment = space.forward(states, transition.operations);
  return space.forward(space.bdd.diff(moment, space.set(transition.broken)), transition.rest);
}

function hitsOf(search: Search, goal: Goal, waves: readonly Wave[], first: number): readonly Hit[] {
  const { space, transitions } = search;
  const atPlaces: Hit[] = [];
  const atMoments: Hit[] = [];
  for (let index = first; index < waves.length; index++) {
    for (const [id, states] of waves[index]!.states) {
      const node = transitions.model.graph.nodes[id]!;
      const asked = goal.atPlace.get(id) ?? EMPTY;
      const wrong = space.bdd.and(states, asked);
      if (wrong !== EMPTY) atPlaces.push({ wave: index, node, states: wrong, asked });
      const ways = [...transitions.pausesAt(node), ...search.edgesFrom(node).map((edge) => transitions.of(edge))];
      for (const transition of ways) {
        const asked = goal.atMoment(transition, node);
        if (asked === EMPTY) continue;
        const broken = space.bdd.and(space.forward(states, transition.operations), asked);
        if (broken !== EMPTY) atMoments.push({ wave: index, node, transition, states: broken, asked });
      }
    }
  }
  if (atPlaces.length > 0) return atPlaces;
  const free = atMoments.filter((hit) => costOf(hit.transition!) === 0);
  return free.length > 0 ? free : atMoments;
}

function costOf(transition: Transition): number {
  return transition.cause.kind === "edge" && transition.cause.edge.kind !== "act" ? 0 : 1;
}

function incomingOf(edges: readonly Edge[]): ReadonlyMap<number, readonly Edge[]> {
  const found = new Map<number, Edge[]>();
  for (const edge of edges) found.set(edge.to.id, [...(found.get(edge.to.id) ?? []), edge]);
  return found;
}

function backtrack(
  search: Search,
  waves: readonly Wave[],
  incoming: ReadonlyMap<number, readonly Edge[]>,
  hit: Hit,
  layer: number,
): Path {
  const { space } = search;
  const steps: PathStep[] = [];
  let { wave, node } = hit;
  let states = hit.states;
  if (hit.transition) {
    steps.push({ from: node, transition: hit.transition });
    states = space.backwardWithin(states, hit.transition.operations, waves[wave]!.states.get(node.id)!);
  }
  while (wave > 0) {
    const found = predecessor(search, waves, incoming, wave, node, states);
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

function predecessor(
  search: Search,
  waves: readonly Wave[],
  incoming: ReadonlyMap<number, readonly Edge[]>,
  wave: number,
  node: Node,
  states: Ref,
): Found {
  const { transitions } = search;
  const { free, layer } = waves[wave]!;
  const edges = (incoming.get(node.id) ?? []).filter((edge) => (edge.kind !== "act") === free);
  const ways = edges.map((edge) => ({ from: edge.from, transition: transitions.of(edge) }));
  if (!free) ways.push(...transitions.pausesAt(node).map((transition) => ({ from: node, transition })));
  for (let index = wave - 1; index >= 0; index--) {
    if (free ? index < wave - 1 : waves[index]!.layer < layer - 1) break;
    for (const { from, transition } of ways) {
      const here = waves[index]!.states.get(from.id);
      if (here === undefined) continue;
      const before = search.before(transition, states, here);
      if (before !== EMPTY) return { wave: index, node: from, transition, states: before };
    }
  }
  throw new InvariantError("a wave has no predecessor");
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
