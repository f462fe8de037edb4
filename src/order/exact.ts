import { Layer } from "./layer.js";
import type { Prepared } from "./problem.js";
import type { WalkBound } from "./walks.js";

export interface ExactLimits {
  /** Sets of things done that are remembered at most; each takes 8 bytes for every thing. */
  readonly sets: number;
  readonly deadline?: () => boolean;
}

/** The most things that a set of two words of 31 bits holds. */
export const MOST = 62;

/**
 * The cheapest row that costs less than `upper`, by dynamic programming over the sets of things that can have been done
 * (Held and Karp 1962, cut down by the precedences and by what is at least still to be paid). "none": there is no such row;
 * undefined: a limit was hit, and nothing is known.
 */
export function exactOrder(
  problem: Prepared,
  bound: WalkBound,
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
  private readonly low: Int32Array;
  private readonly high: Int32Array;
  private readonly needsLow: Int32Array;
  private readonly needsHigh: Int32Array;
  /** `costs[to * size + from]`. */
  private readonly costs: Float64Array;
  /** Two words of each group of several things. */
  private readonly groups: readonly { readonly number: number; readonly low: number; readonly high: number }[];
  private readonly allPrices: number;
  private readonly most: number;

  constructor(
    private readonly problem: Prepared,
    private readonly bound: WalkBound,
    upper: number,
  ) {
    const { size, costs, early, precedes } = problem;
    const nodes = [...costs.keys()];
    this.low = Int32Array.from(nodes, (node) => (node < 31 ? 1 << node : 0));
    this.high = Int32Array.from(nodes, (node) => (node < 31 ? 0 : 1 << (node - 31)));
    this.needsLow = Int32Array.from(nodes, (node) => maskOf(precedes, node, this.low));
    this.needsHigh = Int32Array.from(nodes, (node) => maskOf(precedes, node, this.high));
    this.costs = new Float64Array(size * size);
    for (const from of nodes) for (const to of nodes) this.costs[to * size + from] = costs[from]![to]!;
    this.groups = [...new Set(problem.groups)].flatMap((number) => {
      const own = nodes.filter((node) => problem.groups[node] === number);
      const words = (bits: Int32Array) => own.reduce((sum, node) => sum | bits[node]!, 0);
      return own.length > 1 ? [{ number, low: words(this.low), high: words(this.high) }] : [];
    });
    this.allPrices = bound.prices.reduce((sum, price) => sum + price, 0);
    const numbers = [...costs.flatMap((row, from) => row.filter((_, to) => to !== from)), ...early];
    this.most = upper - (numbers.every(Number.isInteger) ? 0.5 : 1e-9 * Math.max(1, Math.abs(upper)));
  }

  /** Each thing that needs nothing, alone. */
  first(): Layer {
    const layer = new Layer(this.problem.size);
    this.problem.needs.forEach((needs, node) => {
      if (needs.length > 0) return;
      layer.offer(layer.indexOf(this.low[node]!, this.high[node]!), node, 0);
    });
    return layer;
  }

  /** All sets with one thing more; undefined where they would be more than `room`. */
  next(before: Layer, place: number, room: number): Layer | undefined {
    const { size, early } = this.problem;
    const { prices, rest } = this.bound;
    const layer = new Layer(size);
    const lasts = new Int32Array(size);
    const sofar = new Float64Array(size);
    for (let index = 0; index < before.count; index += 1) {
      const [low, high] = [before.low[index]!, before.high[index]!];
      let [count, potential] = [0, this.allPrices];
      for (let last = 0; last < size; last += 1) {
        if ((this.low[last]! & low) === 0 && (this.high[last]! & high) === 0) continue;
        potential -= prices[last]!;
        const cost = before.row(index, last);
        if (cost === Number.POSITIVE_INFINITY) continue;
        lasts[count] = last;
        sofar[count] = cost;
        count += 1;
      }
      const begun = this.begunGroup(low, high);
      for (let node = 0; node < size; node += 1) {
        if (begun !== undefined && this.problem.groups[node] !== begun) continue;
        if (!this.canCome(node, low, high)) continue;
        const least = this.leastTo(node, lasts, sofar, count) + place * early[node]!;
        const left = rest[place * size + node]! - (potential - prices[node]!);
        if (least + left > this.most) continue;
        layer.offer(layer.indexOf(low | this.low[node]!, high | this.high[node]!), node, least);
      }
      if (layer.count > room) return undefined;
    }
    return layer;
  }

  private leastTo(node: number, lasts: Int32Array, sofar: Float64Array, count: number): number {
    const base = node * this.problem.size;
    let least = Number.POSITIVE_INFINITY;
    for (let at = 0; at < count; at += 1) {
      const cost = sofar[at]! + this.costs[base + lasts[at]!]!;
      if (cost < least) least = cost;
    }
    return least;
  }

  /** Back from the cheapest end. */
  trace(layers: readonly Layer[]): readonly number[] | "none" {
    const { size, early } = this.problem;
    const whole = layers.at(-1) as Layer;
    let last = -1;
    for (let node = 0; node < size; node += 1) {
      if (last < 0 || whole.row(0, node) < whole.row(0, last)) last = node;
    }
    if (whole.count === 0 || whole.row(0, last) > this.most) return "none";
    const order = [last];
    let [low, high] = [whole.low[0]!, whole.high[0]!];
    for (let place = size - 1; place > 0; place -= 1) {
      const layer = layers[place] as Layer;
      const target = layer.row(layer.find(low, high), last) - place * early[last]!;
      low &= ~this.low[last]!;
      high &= ~this.high[last]!;
      const before = layers[place - 1] as Layer;
      const index = before.find(low, high);
      let [best, gap] = [-1, Number.POSITIVE_INFINITY];
      for (let node = 0; node < size; node += 1) {
        const sofar = before.row(index, node);
        if (sofar === Number.POSITIVE_INFINITY) continue;
        const off = Math.abs(sofar + this.costs[last * size + node]! - target);
        if (off < gap) [best, gap] = [node, off];
      }
      last = best;
      order.unshift(last);
    }
    return order;
  }

  /** The group of which some things are done and others are not: what comes next is one of them. */
  private begunGroup(low: number, high: number): number | undefined {
    for (const group of this.groups) {
      const [lower, higher] = [low & group.low, high & group.high];
      if ((lower | higher) !== 0 && (lower !== group.low || higher !== group.high)) return group.number;
    }
    return undefined;
  }

  private canCome(node: number, low: number, high: number): boolean {
    if ((this.low[node]! & low) !== 0 || (this.high[node]! & high) !== 0) return false;
    return (this.needsLow[node]! & ~low) === 0 && (this.needsHigh[node]! & ~high) === 0;
  }
}

function maskOf(precedes: readonly (readonly boolean[])[], to: number, bits: Int32Array): number {
  return precedes.reduce((mask, row, from) => (row[to] ? mask | bits[from]! : mask), 0);
}
