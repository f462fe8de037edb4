import type { Prepared } from "./problem.js";

/** Changes stretches until none is left whose change helps, from one left end to the next and round again. */
export function mended(problem: Prepared, order: readonly number[]): readonly number[] {
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
