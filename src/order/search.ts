import { Mender } from "./mend.js";
import { costOf, type Prepared } from "./problem.js";
import { generator, shaken } from "./shake.js";

export interface SearchLimits {
  /** How often a good row is shaken and mended again. */
  readonly rounds: number;
  /** True once the time is up. */
  readonly deadline?: () => boolean;
}

/**
 * A good row: greedy from each possible beginning, mended by exchanging neighbouring stretches (the path-preserving
 * exchange of Gambardella and Dorigo 2000) and turning stretches round as long as that helps, then shaken and mended again. The same every time.
 */
export function goodOrder(problem: Prepared, limits: SearchLimits): readonly number[] {
  const mender = new Mender(problem);
  const starts = greedyOrders(problem).map((order) =>
    mender.mended(order, problem.size > LARGE ? REACH : problem.size),
  );
  let best = cheapest(problem, starts);
  let current = best;
  const random = generator(problem.size);
  for (let round = 0; round < limits.rounds; round += 1) {
    if (limits.deadline?.()) break;
    const tried = mender.mended(shaken(problem, current, random), REACH, current);
    const cost = costOf(problem, tried);
    if (cost < costOf(problem, best)) best = tried;
    const worse = WORSE * (1 - round / limits.rounds) * costOf(problem, best);
    if (cost <= costOf(problem, current) + worse) current = tried;
  }
  return best;
}

function cheapest(problem: Prepared, orders: readonly (readonly number[])[]): readonly number[] {
  return orders.reduce(
    (best, order) => (costOf(problem, order) < costOf(problem, best) ? order : best),
    orders[0] ?? [],
  );
}

/** A little worse is taken too, less and less of it, so that the search comes out of a hollow. */
const WORSE = 0.02;

/** Of two stretches that are exchanged after a shake, the shorter has at most so many things. */
const REACH = 30;

/** With more things than this the first rows too are mended with short stretches only. */
const LARGE = 120;

/** At most so many beginnings are tried. */
const BEGINNINGS = 12;

function greedyOrders(problem: Prepared): readonly (readonly number[])[] {
  const free = problem.needs.flatMap((needs, node) => (needs.length === 0 ? [node] : []));
  return free.slice(0, BEGINNINGS).map((first) => greedy(problem, first));
}

/** Always the cheapest of what may come next. */
function greedy(problem: Prepared, first: number): readonly number[] {
  const order = [first];
  const left = new Set(problem.costs.keys());
  left.delete(first);
  while (left.size > 0) {
    const last = order.at(-1) ?? first;
    let next: number | undefined;
    let least = Number.POSITIVE_INFINITY;
    for (const node of left) {
      if (problem.needs[node]?.some((need) => left.has(need))) continue;
      const cost = (problem.costs[last]?.[node] ?? 0) - (problem.early[node] ?? 0);
      if (next === undefined || cost < least) [next, least] = [node, cost];
    }
    if (next === undefined) break;
    order.push(next);
    left.delete(next);
  }
  return order;
}
