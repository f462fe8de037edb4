import { assignmentBound } from "./bound.js";
import { exactOrder } from "./exact.js";
import { costOf, type OrderProblem, type OrderSolution, prepare } from "./problem.js";
import { goodOrder } from "./search.js";

export interface OrderLimits {
  /** Sets that the exact search may remember; 1 200 000 where not given, enough for 20 things that need nothing of each other. */
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
  const bound = assignmentBound(prepared);
  const first = goodOrder(prepared, { rounds: Math.min(limits.rounds ?? FEW, FEW), ...deadline });
  const upper = costOf(prepared, first);
  const exact =
    upper <= bound.value + TINY
      ? "none"
      : exactOrder(prepared, bound, upper, { sets: limits.sets ?? SETS, ...deadline });
  if (exact === "none") return { order: first, cost: upper, bound: upper, optimal: true };
  if (exact) return { order: exact, cost: costOf(prepared, exact), bound: costOf(prepared, exact), optimal: true };
  const order = goodOrder(prepared, { rounds: limits.rounds ?? MANY, ...deadline });
  const cost = costOf(prepared, order);
  return { order, cost, bound: Math.max(0, Math.min(cost, bound.value)), optimal: cost <= bound.value + TINY };
}

const SETS = 1_200_000;
const FEW = 40;
const MANY = 1500;
const TINY = 1e-9;
