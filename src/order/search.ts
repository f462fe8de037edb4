import { costOf, type Prepared } from "./problem.js";

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
  const starts = greedyOrders(problem).map((order) => mended(problem, order));
  let best = cheapest(problem, starts);
  let current = best;
  const random = generator(problem.size);
  for (let round = 0; round < limits.rounds; round += 1) {
    if (limits.deadline?.()) break;
    const tried = mended(problem, shaken(problem, current, random));
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

/** Changes stretches until none is left whose change helps, from one left end to the next and round again. */
function mended(problem: Prepared, order: readonly number[]): readonly number[] {
  let current = order;
  let row = rowOf(problem, current);
  let idle = 0;
  for (let from = 0; idle < order.length; from = (from + 1) % order.length) {
    const better = improvedAt(problem, current, row, from);
    idle = better ? 0 : idle + 1;
    if (!better) continue;
    current = better;
    row = rowOf(problem, current);
  }
  return current;
}

const ENOUGH = 1e-9;

/** The best change of a stretch that begins at `from`; undefined where none helps. */
function improvedAt(
  problem: Prepared,
  order: readonly number[],
  row: Row,
  from: number,
): readonly number[] | undefined {
  const swap = bestExchange(problem, order, row, from);
  const turn = bestTurn(problem, order, row, from);
  if (turn.gain > swap.gain)
    return [...order.slice(0, from), ...order.slice(from, turn.to).reverse(), ...order.slice(turn.to)];
  return swap.gain > ENOUGH ? exchanged(order, swap) : undefined;
}

function bestExchange(
  problem: Prepared,
  order: readonly number[],
  row: Row,
  from: number,
): Stretches & { readonly gain: number } {
  const late = new Uint8Array(order.length);
  let best = { gain: ENOUGH, from, middle: 0, to: 0 };
  for (let middle = from + 1; middle < order.length; middle += 1) {
    markLater(problem, order[middle - 1] as number, late);
    for (let to = middle + 1; to <= order.length && !late[order[to - 1] as number]; to += 1) {
      const gain = exchangeGain(row, from, middle, to);
      if (gain > best.gain) best = { gain, from, middle, to };
    }
  }
  return best;
}

/** A stretch turned round, where nothing in it needs anything else in it. */
function bestTurn(
  problem: Prepared,
  order: readonly number[],
  row: Row,
  from: number,
): { readonly gain: number; readonly to: number } {
  const { size, step } = row;
  const late = new Uint8Array(order.length);
  let best = { gain: ENOUGH, to: 0 };
  let [forth, back, weight, moment] = [0, 0, weightAt(row, from), weightAt(row, from) * from];
  markLater(problem, order[from] as number, late);
  for (let to = from + 2; to <= order.length && !late[order[to - 1] as number]; to += 1) {
    markLater(problem, order[to - 1] as number, late);
    forth += step[(to - 1) * size + to] as number;
    back += step[to * size + to - 1] as number;
    weight += weightAt(row, to - 1);
    moment += weightAt(row, to - 1) * (to - 1);
    const now = forth + (step[from * size + from + 1] as number) + (step[to * size + to + 1] as number);
    const then = back + (step[from * size + to] as number) + (step[(from + 1) * size + to + 1] as number);
    const gain = now - then - ((from + to - 1) * weight - 2 * moment);
    if (gain > best.gain) best = { gain, to };
  }
  return best;
}

function weightAt({ early }: Row, place: number): number {
  return (early[place + 1] as number) - (early[place] as number);
}

/** A row laid out for reckoning: `step[a * size + b]` is the cost of going from place a to place b, nothing at its ends. */
interface Row {
  readonly size: number;
  readonly step: Float64Array;
  /** What the things before each place cost for one place further back. */
  readonly early: Float64Array;
}

function rowOf(problem: Prepared, order: readonly number[]): Row {
  const size = order.length + 2;
  const step = new Float64Array(size * size);
  order.forEach((a, from) => {
    const costs = problem.costs[a] as readonly number[];
    order.forEach((b, to) => {
      step[(from + 1) * size + to + 1] = costs[b] as number;
    });
  });
  const early = new Float64Array(order.length + 1);
  order.forEach((node, place) => {
    early[place + 1] = (early[place] as number) + (problem.early[node] as number);
  });
  return { size, step, early };
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

/** Places in `step` are one further on: 0 is before the first. */
function exchangeGain({ size, step, early }: Row, from: number, middle: number, to: number): number {
  const now =
    (step[from * size + from + 1] as number) +
    (step[middle * size + middle + 1] as number) +
    (step[to * size + to + 1] as number);
  const then =
    (step[from * size + middle + 1] as number) +
    (step[to * size + from + 1] as number) +
    (step[middle * size + to + 1] as number);
  const left = (early[middle] as number) - (early[from] as number);
  const right = (early[to] as number) - (early[middle] as number);
  return now - then - (left * (to - middle) - right * (middle - from));
}

function exchanged(order: readonly number[], { from, middle, to }: Stretches): readonly number[] {
  return [...order.slice(0, from), ...order.slice(middle, to), ...order.slice(from, middle), ...order.slice(to)];
}

/** Some things are taken out, a stretch or here and there, and put back one by one where they cost least, now and then beside that. */
function shaken(problem: Prepared, order: readonly number[], random: (below: number) => number): readonly number[] {
  const many = Math.min(order.length, 4 + random(Math.max(1, Math.min(12, Math.floor(order.length / 3)))));
  const from = random(order.length);
  const stretch = random(2) === 0;
  const out = new Set(
    Array.from(
      { length: many },
      (_, index) => order[stretch ? (from + index) % order.length : random(order.length)] as number,
    ),
  );
  const waiting = [...out];
  let row = order.filter((node) => !out.has(node));
  while (waiting.length > 0) {
    const [node] = waiting.splice(random(waiting.length), 1);
    if (node !== undefined) row = inserted(problem, row, node, random);
  }
  return row;
}

function inserted(
  problem: Prepared,
  row: readonly number[],
  node: number,
  random: (below: number) => number,
): number[] {
  const own = problem.precedes[node] as readonly boolean[];
  const first = row.findLastIndex((other) => problem.precedes[other]?.[node]) + 1;
  const after = row.findIndex((other) => own[other]);
  const last = after < 0 ? row.length : after;
  const step = (a: number | undefined, b: number | undefined) =>
    a === undefined || b === undefined ? 0 : ((problem.costs[a] as readonly number[])[b] as number);
  let [best, least] = [first, Number.POSITIVE_INFINITY];
  for (let at = first; at <= last; at += 1) {
    if (random(12) === 0) continue;
    const more =
      step(row[at - 1], node) + step(node, row[at]) - step(row[at - 1], row[at]) + at * (problem.early[node] as number);
    if (more < least) [best, least] = [at, more];
  }
  return row.toSpliced(best, 0, node);
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
