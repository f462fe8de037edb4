import { InvariantError, invariant } from "../../invariant.js";
import type { Variable } from "../expression.js";
import type { Node } from "../graph/graph.js";
import type { Transition } from "../transitions.js";
import { EMPTY, FULL, type Ref } from "./bdd.js";
import type { Search } from "./search.js";
import { costOf, type Goal, type Hit, type Wave, Waves } from "./waves.js";

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

/** The path of fewest moments to the goal; of equals the one whose last step `prefer`s lowest. Undefined: none leads there. */
export function shortestPath(
  search: Search,
  goal: Goal,
  prefer: (path: Path) => number,
  deadline?: () => boolean,
): Path | undefined {
  const waves = new Waves(search, goal, deadline);
  const hits = waves.flood();
  return hits.length === 0
    ? undefined
    : best(
        hits.map((hit) => backtrack(search, waves, hit)),
        prefer,
      );
}

function best(paths: readonly Path[], prefer: (path: Path) => number): Path {
  return paths.reduce((chosen, path) => {
    if (path.moments !== chosen.moments) return path.moments < chosen.moments ? path : chosen;
    return prefer(path) < prefer(chosen) ? path : chosen;
  });
}

function backtrack(search: Search, { waves }: Waves, hit: Hit): Path {
  const { space } = search;
  const steps: PathStep[] = [];
  let { wave, node } = hit;
  let states = space.factoring.plain(hit.states);
  const { layer } = waves[wave]!;
  if (hit.transition) {
    steps.push({ from: node, transition: hit.transition });
    states = space.backwardWithin(states, hit.transition.operations, statesAt(search, waves[wave]!, node)!);
  }
  while (wave > 0) {
    const found = predecessor(search, waves, wave, node, states);
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

function predecessor(search: Search, waves: readonly Wave[], wave: number, node: Node, states: Ref): Found {
  const { transitions } = search;
  const { free, layer } = waves[wave]!;
  const edges = search.edgesTo(node).filter((edge) => (edge.kind !== "act") === free);
  const ways = edges.map((edge) => ({ from: edge.from, transition: transitions.of(edge) }));
  if (!free) ways.push(...transitions.pausesAt(node).map((transition) => ({ from: node, transition })));
  for (let index = wave - 1; index >= 0; index--) {
    if (free ? index < wave - 1 : waves[index]!.layer < layer - 1) break;
    for (const { from, transition } of ways) {
      const here = statesAt(search, waves[index]!, from);
      if (here === undefined) continue;
      const before = search.before(transition, states, here);
      if (before !== EMPTY) return { wave: index, node: from, transition, states: before };
    }
  }
  throw new InvariantError("a wave has no predecessor");
}

function statesAt({ space }: Search, wave: Wave, node: Node): Ref | undefined {
  const arrivals = wave.at.get(node);
  if (!arrivals) return undefined;
  return space.factoring.plain(
    arrivals.reduce((sum, { states }) => space.factoring.or(sum, states), space.factoring.none),
  );
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
