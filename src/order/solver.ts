import { assignmentBound } from "./bound.js";
import { exactOrder } from "./exact.js";
import { costOf, type OrderProblem, type OrderSolution, type Prepared, prepare } from "./problem.js";
import { goodOrder } from "./search.js";
import { walkBound } from "./walks.js";

export interface OrderLimits {
  /** Sets that the exact search may remember, each with 8 bytes for every thing; 24 000 000 by the number of things where not given: 200 MB, enough for 20 things that need nothing of each other. */
  readonly sets?: number;
  /** Rounds of improvement for a good row. */
  readonly rounds?: number;
  /** True once the time is up: what is known by then is given back. */
  readonly deadline?: () => boolean;
}

/**
 * The cheapest row, exact where the limits allow: then `optimal` says so. Else a good row with a bound that none can be below.
 * Undefined where things need each other in a ring. The same problem gives the same row, unless the time was up.
 */
export function solveOrder(problem: OrderProblem, limits: OrderLimits = {}): OrderSolution | undefined {
  const prepared = prepare(problem);
  if (!prepared) return undefined;
  if (prepared.size === 0) return { order: [], cost: 0, bound: 0, optimal: true };
  const deadline = limits.deadline ? { deadline: limits.deadline } : {};
  const parting = withParting(prepared);
  const first = goodOrder(parting, { rounds: Math.min(limits.rounds ?? FEW, FEW), ...deadline });
  const upper = costOf(prepared, first);
  const walks = walkBound(prepared, upper);
  const bound = roundedUp(prepared, Math.max(assignmentBound(prepared).value, walks.value));
  const sets = limits.sets ?? Math.floor(ENTRIES / prepared.size);
  const exact = upper <= bound + TINY ? "none" : exactOrder(prepared, walks, upper, { sets, ...deadline });
  if (exact === "none") return { order: first, cost: upper, bound: upper, optimal: true };
  if (exact) return { order: exact, cost: costOf(prepared, exact), bound: costOf(prepared, exact), optimal: true };
  const order = goodOrder(parting, { rounds: limits.rounds ?? roundsFor(prepared.size), ...deadline });
  const cost = costOf(prepared, order);
  return { order, cost, bound: Math.max(0, Math.min(cost, bound)), optimal: cost <= bound + TINY };
}

/** With a price on each way from one group to another, above all else: the cheapest rows then leave no group and come back. */
function withParting(problem: Prepared): Prepared {
  const { costs, early, groups, size } = problem;
  if (new Set(groups).size === size) return problem;
  const most = (row: readonly number[]) => row.reduce((sum, cost) => Math.max(sum, cost), 0);
  const price = 1 + costs.reduce((sum, row) => sum + most(row), 0) + size * early.reduce((sum, one) => sum + one, 0);
  const parted = costs.map((row, from) => row.map((cost, to) => (groups[from] === groups[to] ? cost : cost + price)));
  return { ...problem, costs: parted };
}

/** Where all costs are whole numbers, so is that of every row. */
function roundedUp({ costs, early }: Prepared, bound: number): number {
  const whole =
    early.every(Number.isInteger) &&
    costs.every((row, from) => row.every((cost, to) => from === to || Number.isInteger(cost)));
  return whole ? Math.ceil(bound - 1e-6 * Math.max(1, Math.abs(bound))) : bound;
}

const ENTRIES = 24_000_000;
const FEW = 40;
const MANY = 12_000;
const TINY = 1e-9;

/** A round takes longer the more things there are: fewer then, so that a hundred do not take much longer than fifty. */
function roundsFor(size: number): number {
  return Math.round(MANY * Math.min(1, (60 / size) ** 2));
}
