import { costOf, type Prepared } from "./problem.js";

export interface SearchLimits {
  /** How often a good row is shaken and mended again. */
  readonly rounds: number;
  /** True once the time is up. */
  readonly deadline?: () => boolean;
}

/**
 * A good row: greedy from each possible beginning, mended by exchanging neighbouring stretches as long as that helps
 * (the path-preserving exchange of Gambardella and Dorigo 2000), then shaken and mended again. The same every time.
 */
export function goodOrder(problem: Prepared, limits: SearchLimits): readonly number[] {
  const starts = greedyOrders(problem).map((order) => mended(problem, order));
  let best = cheapest(problem, starts);
  let current = best;
  const random = generator(problem.size);
  for (let round = 0; round < limits.rounds; round += 1) {
    if (limits.deadline?.()) break;
    const tried = mended(problem, shaken(problem, current, random));
    const cost = costOf(problem, tried);
    if (cost <= costOf(problem, current)) current = tried;
    else if (round % 60 === 59) current = best;
    if (cost < costOf(problem, best)) best = tried;
  }
  return best;
}

function cheapest(problem: Prepared, orders: readonly (readonly number[])[]): readonly number[] {
  return orders.reduce(
    (best, order) => (costOf(problem, order) < costOf(problem, best) ? order : best),
    orders[0] ?? [],
  );
}

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

/** Exchanges neighbouring stretches until none is left whose exchange helps. */
function mended(problem: Prepared, order: readonly number[]): readonly number[] {
  let current = order;
  for (;;) {
    const better = improved(problem, current);
    if (!better) return current;
    current = better;
  }
}

const ENOUGH = 1e-9;

/** The best exchange for each left end, done at once; undefined where none helps. */
function improved(problem: Prepared, order: readonly number[]): readonly number[] | undefined {
  const size = order.length;
  const early = earlySums(problem, order);
  let best = { gain: ENOUGH, from: 0, middle: 0, to: 0 };
  for (let from = 0; from < size - 1; from += 1) {
    const late = new Uint8Array(size);
    for (let middle = from + 1; middle < size; middle += 1) {
      markLater(problem, order[middle - 1] as number, late);
      for (let to = middle + 1; to <= size && !late[order[to - 1] as number]; to += 1) {
        const gain = exchangeGain(problem, order, early, { from, middle, to });
        if (gain > best.gain) best = { gain, from, middle, to };
      }
    }
    if (best.gain > ENOUGH) return exchanged(order, best);
  }
  return undefined;
}

/** Stretches of a row: from `from` to before `middle`, and from there to before `to`. */
interface Stretches {
  readonly from: number;
  readonly middle: number;
  readonly to: number;
}

function markLater(problem: Prepared, node: number, late: Uint8Array): void {
  const row = problem.precedes[node];
  if (row) for (let other = 0; other < late.length; other += 1) if (row[other]) late[other] = 1;
}

function exchangeGain(
  problem: Prepared,
  order: readonly number[],
  early: readonly number[],
  { from, middle, to }: Stretches,
): number {
  const step = (a: number | undefined, b: number | undefined) =>
    a === undefined || b === undefined ? 0 : ((problem.costs[a] as readonly number[])[b] as number);
  const [before, first, last] = [order[from - 1], order[from], order[middle - 1]];
  const [second, end, after] = [order[middle], order[to - 1], order[to]];
  const now = step(before, first) + step(last, second) + step(end, after);
  const then = step(before, second) + step(end, first) + step(last, after);
  const left = (early[middle] as number) - (early[from] as number);
  const right = (early[to] as number) - (early[middle] as number);
  return now - then - (left * (to - middle) - right * (middle - from));
}

function earlySums(problem: Prepared, order: readonly number[]): readonly number[] {
  const sums = [0];
  for (const node of order) sums.push((sums.at(-1) ?? 0) + (problem.early[node] ?? 0));
  return sums;
}

function exchanged(order: readonly number[], { from, middle, to }: Stretches): readonly number[] {
  return [...order.slice(0, from), ...order.slice(middle, to), ...order.slice(from, middle), ...order.slice(to)];
}

/** Three exchanges of short stretches wherever the precedences let them. */
function shaken(problem: Prepared, order: readonly number[], random: (below: number) => number): readonly number[] {
  let current = order;
  let done = 0;
  for (let attempt = 0; attempt < 60 && done < 3; attempt += 1) {
    const from = random(Math.max(1, order.length - 1));
    const middle = Math.min(order.length - 1, from + 1 + random(6));
    const to = Math.min(order.length, middle + 1 + random(6));
    if (from >= middle || !mayExchange(problem, current, { from, middle, to })) continue;
    current = exchanged(current, { from, middle, to });
    done += 1;
  }
  return current;
}

function mayExchange(problem: Prepared, order: readonly number[], { from, middle, to }: Stretches): boolean {
  return order.slice(from, middle).every((a) => order.slice(middle, to).every((b) => !problem.precedes[a]?.[b]));
}

/** Numbers that look random and are the same each time (Mulberry32, public domain). */
function generator(seed: number): (below: number) => number {
  let state = seed;
  return (below) => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) % below;
  };
}
