import type { Prepared } from "./problem.js";

/** Mends rows of one problem by changing stretches of them as long as that helps. */
export class Mender {
  private readonly size: number;
  /** Costs in one stretch, with a thing more that stands at both ends of a row and costs nothing. */
  private readonly costs: Float64Array;
  private readonly later: readonly (readonly number[])[];
  private readonly late: Uint8Array;
  /** The row with its ends: place `i` of the row is at `i + 1`. */
  private readonly row: Int32Array;
  /** What the things before each place cost for one place further back. */
  private readonly early: Float64Array;

  constructor(private readonly problem: Prepared) {
    this.size = problem.size;
    const width = this.size + 1;
    this.costs = new Float64Array(width * width);
    problem.costs.forEach((row, from) => {
      row.forEach((cost, to) => {
        this.costs[from * width + to] = cost;
      });
    });
    this.later = problem.precedes.map((row) => row.flatMap((is, node) => (is ? [node] : [])));
    this.late = new Uint8Array(width);
    this.row = new Int32Array(this.size + 2);
    this.early = new Float64Array(this.size + 1);
  }

  /**
   * The row once no exchange of neighbouring stretches and no turning round of one helps any more. Of two stretches the shorter has at most
   * `reach` things. With `since` only places where the row differs from that one, which is mended, and their neighbours are looked at first.
   */
  mended(order: readonly number[], reach: number, since?: readonly number[]): readonly number[] {
    this.take(order);
    const open = since ? this.changedSince(order, since) : new Uint8Array(this.size).fill(1);
    for (let from = 0, idle = 0; idle < this.size; from = (from + 1) % this.size) {
      idle += 1;
      if (!open[from]) continue;
      const change = this.best(from, reach);
      if (!change) {
        open[from] = 0;
        continue;
      }
      this.apply(change);
      for (const at of [change.from, change.middle, change.to])
        for (let near = Math.max(0, at - NEAR); near <= Math.min(this.size - 1, at + NEAR); near += 1) open[near] = 1;
      idle = 0;
    }
    return [...this.row.subarray(1, this.size + 1)];
  }

  private take(order: readonly number[]): void {
    this.row[0] = this.size;
    this.row.set(order, 1);
    this.row[this.size + 1] = this.size;
    for (let place = 0; place < this.size; place += 1) this.weigh(place);
  }

  private weigh(place: number): void {
    this.early[place + 1] = this.early[place]! + this.problem.early[this.row[place + 1]!]!;
  }

  private changedSince(order: readonly number[], since: readonly number[]): Uint8Array {
    const after = new Map(since.map((node, place) => [node, since[place + 1] ?? -1]));
    const open = new Uint8Array(this.size);
    order.forEach((node, place) => {
      if (after.get(node) === (order[place + 1] ?? -1)) return;
      for (let near = Math.max(0, place - NEAR); near <= Math.min(this.size - 1, place + NEAR); near += 1)
        open[near] = 1;
    });
    return open;
  }

  /** The best change of a stretch that begins at `from`; undefined where none helps. */
  private best(from: number, reach: number): Change | undefined {
    const swap = this.bestExchange(from, reach);
    const turn = this.bestTurn(from);
    const best = turn.gain > swap.gain ? turn : swap;
    return best.gain > ENOUGH ? best : undefined;
  }

  private bestExchange(from: number, reach: number): Change {
    const { row, early, late, later, size } = this;
    const width = size + 1;
    late.fill(0);
    let best: Change = { kind: "exchange", gain: ENOUGH, from, middle: 0, to: 0 };
    const [before, first] = [row[from]!, row[from + 1]!];
    const cut = this.costs[before * width + first]!;
    for (let middle = from + 1; middle < size; middle += 1) {
      const [last, next] = [row[middle]!, row[middle + 1]!];
      for (const node of later[last]!) late[node] = 1;
      const opened = cut + this.costs[last * width + next]! - this.costs[before * width + next]!;
      const most = middle - from <= reach ? size : Math.min(size, middle + reach);
      const left = early[middle]! - early[from]!;
      for (let to = middle + 1; to <= most; to += 1) {
        const end = row[to]!;
        if (late[end]) break;
        const after = row[to + 1]!;
        const gain =
          opened +
          this.costs[end * width + after]! -
          this.costs[end * width + first]! -
          this.costs[last * width + after]! -
          (left * (to - middle) - (early[to]! - early[middle]!) * (middle - from));
        if (gain > best.gain) best = { kind: "exchange", gain, from, middle, to };
      }
    }
    return best;
  }

  /** A stretch turned round, where nothing in it needs anything else in it. */
  private bestTurn(from: number): Change {
    const { row, late, later, size, early } = this;
    const width = size + 1;
    late.fill(0);
    const weightAt = (place: number) => early[place + 1]! - early[place]!;
    let best: Change = { kind: "turn", gain: ENOUGH, from, middle: from, to: 0 };
    const [before, first] = [row[from]!, row[from + 1]!];
    let [forth, back, weight, moment] = [0, 0, weightAt(from), weightAt(from) * from];
    for (const node of later[first]!) late[node] = 1;
    for (let to = from + 2; to <= size && !late[row[to]!]; to += 1) {
      const [last, end, after] = [row[to - 1]!, row[to]!, row[to + 1]!];
      for (const node of later[end]!) late[node] = 1;
      forth += this.costs[last * width + end]!;
      back += this.costs[end * width + last]!;
      weight += weightAt(to - 1);
      moment += weightAt(to - 1) * (to - 1);
      const now = forth + this.costs[before * width + first]! + this.costs[end * width + after]!;
      const turned = back + this.costs[before * width + end]! + this.costs[first * width + after]!;
      const gain = now - turned - ((from + to - 1) * weight - 2 * moment);
      if (gain > best.gain) best = { kind: "turn", gain, from, middle: from, to };
    }
    return best;
  }

  private apply({ kind, from, middle, to }: Change): void {
    const { row } = this;
    if (kind === "turn") row.subarray(from + 1, to + 1).reverse();
    else {
      const left = row.slice(from + 1, middle + 1);
      row.copyWithin(from + 1, middle + 1, to + 1);
      row.set(left, from + 1 + to - middle);
    }
    for (let place = from; place < to; place += 1) this.weigh(place);
  }
}

/** Places beside a change that are looked at anew. */
const NEAR = 4;

const ENOUGH = 1e-9;

/** Stretches of a row: from `from` to before `middle`, and from there to before `to`, change places; or all of it is turned round. */
interface Change {
  readonly kind: "exchange" | "turn";
  readonly gain: number;
  readonly from: number;
  readonly middle: number;
  readonly to: number;
}
