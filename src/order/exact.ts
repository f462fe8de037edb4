import type { Bound } from "./bound.js";
import { Layer } from "./layer.js";
import type { Prepared } from "./problem.js";

export interface ExactLimits {
  /** Sets of things done that are remembered at most; each takes 8 bytes for every thing. */
  readonly sets: number;
  readonly deadline?: () => boolean;
}

/** The most things that a set of two words of 31 bits holds. */
export const MOST = 62;

/**
 * The cheapest row that costs less than `upper`, by dynamic programming over the sets of things that can have been done
 * (Held and Karp 1962, cut down by the precedences and by prices that show a set to lead nowhere). "none": there is no such row;
 * undefined: a limit was hit, and nothing is known.
 */
export function exactOrder(
  problem: Prepared,
  bound: Bound,
  upper: number,
  limits: ExactLimits,
): readonly number[] | "none" | undefined {
  if (problem.size > MOST) return undefined;
  const table = new Table(problem, bound, upper);
  const layers = [table.first()];
  let remembered = 0;
  for (let place = 1; place < problem.size; place += 1) {
    const before = layers.at(-1) as Layer;
    const next = table.next(before, place, limits.sets - remembered);
    if (!next || limits.deadline?.()) return undefined;
    if (next.count === 0) return "none";
    remembered += next.count;
    layers.push(next);
  }
  return table.trace(layers);
}

class Table {
  private readonly low: readonly number[];
  private readonly high: readonly number[];
  private readonly needsLow: readonly number[];
  private readonly needsHigh: readonly number[];
  private readonly rest: number;
  private readonly slack: number;

  constructor(
    private readonly problem: Prepared,
    private readonly bound: Bound,
    private readonly upper: number,
  ) {
    const nodes = [...problem.costs.keys()];
    this.low = nodes.map((node) => (node < 31 ? 1 << node : 0));
    this.high = nodes.map((node) => (node < 31 ? 0 : 1 << (node - 31)));
    this.needsLow = nodes.map((node) => maskOf(problem.precedes, node, this.low));
    this.needsHigh = nodes.map((node) => maskOf(problem.precedes, node, this.high));
    this.rest = nodes.reduce((sum, node) => sum + (bound.leaving[node] ?? 0) + (bound.coming[node] ?? 0), bound.ending);
    const numbers = [...problem.costs.flatMap((row, from) => row.filter((_, to) => to !== from)), ...problem.early];
    this.slack = numbers.every(Number.isInteger) ? 0.5 : 1e-9 * Math.max(1, Math.abs(upper));
  }

  /** Each thing that needs nothing, alone. */
  first(): Layer {
    const layer = new Layer(this.problem.size);
    this.problem.needs.forEach((needs, node) => {
      if (needs.length > 0) return;
      const index = layer.indexOf(this.low[node] as number, this.high[node] as number);
      layer.offer(index, node, 0);
    });
    return layer;
  }

  /** All sets with one thing more; undefined where they would be more than `room`. */
  next(before: Layer, place: number, room: number): Layer | undefined {
    const { size, costs, early } = this.problem;
    const layer = new Layer(size);
    for (let index = 0; index < before.count; index += 1) {
      const [low, high] = [before.low[index] as number, before.high[index] as number];
      const potential = this.potentialOf(low, high);
      for (let node = 0; node < size; node += 1) {
        if (!this.canCome(node, low, high)) continue;
        let least = Number.POSITIVE_INFINITY;
        for (let last = 0; last < size; last += 1) {
          const sofar = before.row(index, last);
          if (sofar === Number.POSITIVE_INFINITY) continue;
          const cost = sofar + ((costs[last] as readonly number[])[node] as number);
          if (cost < least) least = cost;
        }
        const cost = least + place * (early[node] as number);
        // What is left is at least its prices; the thing come to is now only left.
        const left = potential - (this.bound.coming[node] as number);
        if (cost + left > this.upper - this.slack) continue;
        layer.offer(layer.indexOf(low | (this.low[node] as number), high | (this.high[node] as number)), node, cost);
      }
      if (layer.count > room) return undefined;
    }
    return layer;
  }

  /** Back from the cheapest end. */
  trace(layers: readonly Layer[]): readonly number[] | "none" {
    const { size, costs, early } = this.problem;
    const whole = layers.at(-1) as Layer;
    let last = -1;
    for (let node = 0; node < size; node += 1) {
      if (last < 0 || whole.row(0, node) < whole.row(0, last)) last = node;
    }
    if (whole.count === 0 || whole.row(0, last) > this.upper - this.slack) return "none";
    const order = [last];
    let [low, high] = [whole.low[0] as number, whole.high[0] as number];
    for (let place = size - 1; place > 0; place -= 1) {
      const value = (layers[place] as Layer).row((layers[place] as Layer).find(low, high), last);
      low &= ~(this.low[last] as number);
      high &= ~(this.high[last] as number);
      const before = layers[place - 1] as Layer;
      const index = before.find(low, high);
      const target = value - place * (early[last] as number);
      let [best, gap] = [-1, Number.POSITIVE_INFINITY];
      for (let node = 0; node < size; node += 1) {
        const sofar = before.row(index, node);
        if (sofar === Number.POSITIVE_INFINITY) continue;
        const off = Math.abs(sofar + ((costs[node] as readonly number[])[last] as number) - target);
        if (off < gap) [best, gap] = [node, off];
      }
      last = best;
      order.unshift(last);
    }
    return order;
  }

  private canCome(node: number, low: number, high: number): boolean {
    if (((this.low[node] as number) & low) !== 0 || ((this.high[node] as number) & high) !== 0) return false;
    return ((this.needsLow[node] as number) & ~low) === 0 && ((this.needsHigh[node] as number) & ~high) === 0;
  }

  /** The prices of all that is not in the set, and of ending. */
  private potentialOf(low: number, high: number): number {
    let sum = this.rest;
    for (let node = 0; node < this.problem.size; node += 1) {
      if (((this.low[node] as number) & low) === 0 && ((this.high[node] as number) & high) === 0) continue;
      sum -= (this.bound.leaving[node] as number) + (this.bound.coming[node] as number);
    }
    return sum;
  }
}

function maskOf(precedes: readonly (readonly boolean[])[], to: number, bits: readonly number[]): number {
  return precedes.reduce((mask, row, from) => (row[to] ? mask | (bits[from] as number) : mask), 0);
}
