import { runConcrete, type State } from "../machine/concrete.js";
import { EMPTY } from "../machine/symbolic/bdd.js";
import type { Factored } from "../machine/symbolic/factored.js";
import type { Search } from "../machine/symbolic/search.js";
import type { Literal, Path } from "../machine/symbolic/trace.js";

/** One concrete run along a path: a state before each step, and the last. */
export type Run = readonly State[];

/**
 * Walks the path on single values, from a start that the literals allow. Undefined where the run does not come to the
 * wrong state: then what was computed on sets is not to be believed.
 */
export function replay(
  search: Search,
  path: Path,
  literals: readonly Literal[],
  isWrong: (state: State) => boolean,
): Run | undefined {
  const { space, transitions } = search;
  const { bdd, factoring } = space;
  let starts = bdd.and(search.start, factoring.plain(path.sets[0]!));
  for (const { variable, values } of literals) {
    const allowed = values.reduce((sum, value) => bdd.or(sum, space.value(variable, value)), EMPTY);
    starts = bdd.and(starts, allowed);
  }
  if (starts === EMPTY) return undefined;
  const state: State = new Int32Array(transitions.model.world.variables.length);
  for (const [variable, value] of space.pick(starts)) state[variable.index] = value;
  const run: State[] = [state];
  for (const [index, { transition }] of path.steps.entries()) {
    const last = path.endsAtMoment && index === path.steps.length - 1;
    const operations = last ? transition.operations : [...transition.operations, ...transition.rest];
    const next = firstWithin(search, run.at(-1)!, operations, path.sets[index + 1]!);
    if (!next) return undefined;
    run.push(next);
  }
  return isWrong(run.at(-1)!) ? run : undefined;
}

function firstWithin(
  search: Search,
  state: State,
  operations: Parameters<typeof runConcrete>[1],
  target: Factored,
): State | undefined {
  for (const next of runConcrete(state, operations, search.transitions.settling.choices)) {
    if (search.space.factoring.contains(target, next)) return next;
  }
  return undefined;
}
