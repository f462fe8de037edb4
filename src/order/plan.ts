import { shorterOrders } from "./enumerate.js";
import type { OrderProblem } from "./problem.js";
import { type OrderLimits, solveOrder } from "./solver.js";

/** A pair whose order was found to matter: with the first directly before the other all was well, exchanged it was not. */
export interface Learned<Why> {
  readonly first: number;
  readonly second: number;
  readonly why: Why;
}

export interface Plan<Why> {
  /** The cheapest row that was tried and found good; the present one (0, 1, 2 ...) where there is none better. */
  readonly order: readonly number[];
  readonly cost: number;
  readonly present: number;
  readonly learned: readonly Learned<Why>[];
  /**
   * `all-tried`: every cheaper row that keeps `before` was tried and found bad. `exact`: no row that also keeps what was learned is
   * cheaper. `open`: neither is known.
   */
  readonly optimal: "all-tried" | "exact" | "open";
  /** False where the time was up before the search was over. */
  readonly finished: boolean;
}

export interface PlanLimits extends OrderLimits {
  /** Rows that may be tried at the end to show that none is cheaper. */
  readonly certify?: number;
}

/**
 * The cheapest row that a judge finds good, beginning at the present one, which is. `breaks` says what is wrong with a row. The
 * cheapest row is tried; where it is bad, the way there from the present row, one exchange of neighbours after the other, is halved until
 * the exchange is found that breaks it, and that pair keeps its order from then on.
 */
export function planOrder<Why>(
  problem: OrderProblem,
  breaks: (order: readonly number[]) => Why | undefined,
  limits: PlanLimits = {},
): Plan<Why> {
  return new Planner(problem, breaks, limits).run();
}

class Planner<Why> {
  private readonly present: readonly number[];
  private readonly learned: Learned<Why>[] = [];
  private readonly verdicts = new Map<string, Why | undefined>();
  private best: readonly number[];

  constructor(
    private readonly problem: OrderProblem,
    private readonly breaks: (order: readonly number[]) => Why | undefined,
    private readonly limits: PlanLimits,
  ) {
    this.present = [...problem.costs.keys()];
    this.best = this.present;
    this.verdicts.set(String(this.present), undefined);
  }

  run(): Plan<Why> {
    for (;;) {
      const before = [...this.problem.before, ...this.learned.map(({ first, second }) => [first, second] as const)];
      const solution = solveOrder({ ...this.problem, before }, this.limits);
      if (!solution || this.isOver()) return this.plan("open", false);
      const exact = solution.optimal ? "exact" : "open";
      if (solution.cost >= this.cost(this.best) - TINY) return this.certified(exact);
      if (this.judge(solution.order) === undefined) return this.certified(exact);
      if (this.isOver()) return this.plan("open", false);
      const blamed = this.blamed(solution.order);
      if (this.isOver()) return this.plan("open", false);
      this.learned.push(blamed);
    }
  }

  /** The exchange of neighbours, on the way from the present row to a bad one, before which all is well and after which it is not. */
  private blamed(bad: readonly number[]): Learned<Why> {
    const way = exchanges(bad, this.problem.groups ?? this.present);
    let [good, wrong] = [0, way.length - 1];
    while (wrong - good > 1) {
      const middle = (good + wrong) >> 1;
      if (this.judge(way[middle]!.order) === undefined) good = middle;
      else wrong = middle;
    }
    const { order, first, second } = way[wrong]!;
    return { first, second, why: this.judge(order) as Why };
  }

  private certified(otherwise: Plan<Why>["optimal"]): Plan<Why> {
    const most = this.limits.certify ?? 0;
    for (let tried = 0; ; tried += 1) {
      const known = (order: readonly number[]) => this.verdicts.has(String(order));
      const next = shorterOrders(this.problem, this.cost(this.best) - TINY, known);
      if (next === "none") return this.plan("all-tried", true);
      if (next === "too-many" || tried >= most || this.isOver()) return this.plan(otherwise, true);
      this.judge(next);
    }
  }

  private judge(order: readonly number[]): Why | undefined {
    const key = String(order);
    if (!this.verdicts.has(key)) {
      const why = this.breaks(order);
      this.verdicts.set(key, why);
      if (why === undefined && this.cost(order) < this.cost(this.best) - TINY) this.best = order;
    }
    return this.verdicts.get(key);
  }

  private plan(optimal: Plan<Why>["optimal"], finished: boolean): Plan<Why> {
    const [order, learned] = [this.best, this.learned];
    return { order, cost: this.cost(order), present: this.cost(this.present), learned, optimal, finished };
  }

  private isOver(): boolean {
    return this.limits.deadline?.() ?? false;
  }

  private cost(order: readonly number[]): number {
    return costOfRow(this.problem, order);
  }
}

const TINY = 1e-6;

function costOfRow({ costs, early }: OrderProblem, order: readonly number[]): number {
  return order.reduce((sum, node, place) => {
    const last = order[place - 1];
    return sum + (last === undefined ? 0 : costs[last]![node]!) + place * (early?.[node] ?? 0);
  }, 0);
}

interface Exchange {
  readonly order: readonly number[];
  readonly first: number;
  readonly second: number;
}

/**
 * From the row 0, 1, 2 ... to another by exchanges of neighbours, none of them undone: each row keeps every pair that both ends keep. Groups
 * are exchanged first, each as a whole, then what is in them.
 */
function exchanges(to: readonly number[], groups: readonly number[]): readonly Exchange[] {
  const place = new Map(to.map((node, index) => [node, index]));
  const way: Exchange[] = [{ order: [...to.keys()], first: -1, second: -1 }];
  const sort = (blocks: number[][]): readonly number[] => {
    for (let at = 0; at < blocks.length; ) {
      const [block, next] = [blocks[at]!, blocks[at + 1]];
      if (!next || place.get(block[0]!)! < place.get(next[0]!)!) {
        at += 1;
        continue;
      }
      [blocks[at], blocks[at + 1]] = [next, block];
      way.push({ order: blocks.flat(), first: block[0]!, second: next[0]! });
      at = Math.max(0, at - 1);
    }
    return blocks.flat();
  };
  const blocks = [...new Set(groups)].map((group) => [...to.keys()].filter((node) => groups[node] === group));
  sort(sort(blocks).map((node) => [node]));
  return way;
}
