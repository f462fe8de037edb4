import { mayFollow, type Prepared } from "./problem.js";

/** What is at least still to be paid at each place of a row, with a price on each thing that pays for what the reckoning leaves out. */
export interface WalkBound {
  /** No row costs less. */
  readonly value: number;
  /** Price of each thing, paid where it is come to. */
  readonly prices: Float64Array;
  /** `rest[place * size + node]`: the least that going on costs, prices with it, with the thing at that place; infinite where no row has it there. */
  readonly rest: Float64Array;
}

/**
 * A bound from walks: as many steps as a row has, each one that may be, but things may be come to again, only not straight back (Christofides,
 * Mingozzi and Toth 1981). Prices rise on what is come to too often and fall on what is left out, by subgradients (Held and Karp 1971), as
 * long as that raises the bound.
 */
export function walkBound(problem: Prepared, upper: number): WalkBound {
  const walks = new Walks(problem);
  const { size } = problem;
  const prices = new Float64Array(size);
  const rounds = Math.min(ROUNDS, Math.ceil(WORK / size ** 3));
  let best: WalkBound = {
    value: Number.NEGATIVE_INFINITY,
    prices: prices.slice(),
    rest: new Float64Array(size * size),
  };
  let [pace, idle] = [1, 0];
  for (let round = 0; round < rounds && pace > SLOWEST; round += 1) {
    const { value, rest, visits } = walks.reckon(prices);
    if (value > best.value) {
      idle = value > best.value + 1e-4 * Math.abs(upper) ? 0 : idle + 1;
      best = { value, prices: prices.slice(), rest: rest.slice() };
    } else idle += 1;
    if (idle >= PATIENCE) [pace, idle] = [pace / 2, 0];
    const off = visits.reduce((sum, count) => sum + (count - 1) ** 2, 0);
    if (off === 0 || value >= upper) break;
    const step = (pace * Math.max(upper - value, 1e-3 * Math.abs(upper))) / off;
    for (let node = 0; node < size; node += 1) prices[node] = prices[node]! + step * (visits[node]! - 1);
  }
  return best;
}

const ROUNDS = 300;
/** Steps of reckoning at most: a round takes one for each place and each thing on to each other. */
const WORK = 2e8;
const PATIENCE = 8;
const SLOWEST = 0.004;

class Walks {
  private readonly size: number;
  /** What may come straight after each thing. */
  private readonly next: readonly (readonly number[])[];
  /** The first and the last place at which each thing can stand. */
  private readonly soonest: readonly number[];
  private readonly latest: readonly number[];
  /** For each place and thing the least, the least that goes on to another thing, and what the first goes on to. */
  private readonly first: Float64Array;
  private readonly second: Float64Array;
  private readonly onTo: Int32Array;
  private readonly secondTo: Int32Array;

  constructor(private readonly problem: Prepared) {
    this.size = problem.size;
    const { size, precedes } = problem;
    const nodes = [...problem.costs.keys()];
    this.next = nodes.map((node) => nodes.filter((other) => mayFollow(problem, node, other)));
    this.soonest = nodes.map((node) => nodes.filter((other) => precedes[other]![node]).length);
    this.latest = nodes.map((node) => size - 1 - precedes[node]!.filter(Boolean).length);
    this.first = new Float64Array(size * size);
    this.second = new Float64Array(size * size);
    this.onTo = new Int32Array(size * size);
    this.secondTo = new Int32Array(size * size);
  }

  /** Under these prices: the bound, what each place at least still costs, and how often the cheapest walk comes to each thing. */
  reckon(prices: Float64Array): { readonly value: number; readonly rest: Float64Array; readonly visits: number[] } {
    const { size, first } = this;
    for (let place = size - 1; place >= 0; place -= 1) this.reckonPlace(place, prices);
    let [start, least] = [0, Number.POSITIVE_INFINITY];
    for (let node = 0; node < size; node += 1) {
      const cost = first[node]! + prices[node]!;
      if (cost < least) [start, least] = [node, cost];
    }
    const value = least - prices.reduce((sum, price) => sum + price, 0);
    return { value, rest: first, visits: this.visitsFrom(start) };
  }

  private reckonPlace(place: number, prices: Float64Array): void {
    const { size, first, second, onTo, secondTo, problem } = this;
    for (let node = 0; node < size; node += 1) {
      const at = place * size + node;
      first[at] = second[at] = Number.POSITIVE_INFINITY;
      onTo[at] = secondTo[at] = -1;
      if (place < this.soonest[node]! || place > this.latest[node]!) continue;
      if (place === size - 1) {
        first[at] = second[at] = 0;
        continue;
      }
      const costs = problem.costs[node]!;
      const below = at - node + size;
      for (const other of this.next[node]!) {
        const on = onTo[below + other] === node ? second[below + other]! : first[below + other]!;
        const cost = on + costs[other]! + prices[other]! + (place + 1) * problem.early[other]!;
        if (cost < first[at]!) {
          [second[at], secondTo[at]] = [first[at]!, onTo[at]!];
          [first[at], onTo[at]] = [cost, other];
        } else if (cost < second[at]!) [second[at], secondTo[at]] = [cost, other];
      }
    }
  }

  private visitsFrom(start: number): number[] {
    const visits = new Array<number>(this.size).fill(0);
    let [node, before] = [start, -1];
    for (let place = 0; place < this.size && node >= 0; place += 1) {
      visits[node] = visits[node]! + 1;
      const at = place * this.size + node;
      const on = this.onTo[at] === before ? this.secondTo[at]! : this.onTo[at]!;
      [before, node] = [node, on];
    }
    return visits;
  }
}
