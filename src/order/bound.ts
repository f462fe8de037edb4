import { mayFollow, type Prepared } from "./problem.js";

/** What no row can go below, and the prices that show it: each step costs at least the price of leaving plus that of coming. */
export interface Bound {
  readonly value: number;
  readonly leaving: readonly number[];
  readonly coming: readonly number[];
  /** The price of ending a row. */
  readonly ending: number;
}

/**
 * The assignment bound: everything is left once and come to once, rings allowed. A node of no cost stands before the first and
 * after the last. Solved with the Hungarian method by shortest augmenting paths (Kuhn 1955; Jonker and Volgenant 1987).
 */
export function assignmentBound(problem: Prepared): Bound {
  const size = problem.size + 1;
  const cost = (from: number, to: number) => stepCost(problem, from, to);
  const { rows, columns } = prices(size, cost);
  const { early } = problem;
  const value = [...rows, ...columns].reduce((sum, price) => sum + price, 0) + leastLateness(early);
  const last = size - 1;
  return { value, leaving: rows.slice(0, last), coming: columns.slice(0, last), ending: columns[last] ?? 0 };
}

/** More than any row could cost; not infinite, so that prices stay numbers. */
const NEVER = 1e12;

function stepCost(problem: Prepared, from: number, to: number): number {
  const outside = problem.size;
  if (from === outside && to === outside) return NEVER;
  if (from === outside) return (problem.needs[to]?.length ?? 0) === 0 ? 0 : NEVER;
  if (to === outside) return problem.precedes[from]?.some(Boolean) ? NEVER : 0;
  return mayFollow(problem, from, to) ? (problem.costs[from]?.[to] ?? NEVER) : NEVER;
}

/** The least that the places can cost: the dearest first, whatever needs what. */
export function leastLateness(early: readonly number[]): number {
  return early.toSorted((a, b) => b - a).reduce((sum, weight, place) => sum + weight * place, 0);
}

function prices(
  size: number,
  cost: (from: number, to: number) => number,
): { readonly rows: number[]; readonly columns: number[] } {
  const u = new Array<number>(size + 1).fill(0);
  const v = new Array<number>(size + 1).fill(0);
  const rowOf = new Array<number>(size + 1).fill(0);
  for (let row = 1; row <= size; row += 1) {
    rowOf[0] = row;
    augment(size, cost, { u, v, rowOf });
  }
  return { rows: u.slice(1), columns: v.slice(1) };
}

interface Matching {
  readonly u: number[];
  readonly v: number[];
  /** Row that each column is matched with; column 0 is the one being placed. Counted from 1, 0 is none. */
  readonly rowOf: number[];
}

/** Finds the cheapest alternating path from the new row to a free column, and turns it over. */
function augment(size: number, cost: (from: number, to: number) => number, { u, v, rowOf }: Matching): void {
  const least = new Array<number>(size + 1).fill(Number.POSITIVE_INFINITY);
  const seen = new Array<boolean>(size + 1).fill(false);
  const came = new Array<number>(size + 1).fill(0);
  let column = 0;
  do {
    seen[column] = true;
    const row = rowOf[column] as number;
    let [step, next] = [Number.POSITIVE_INFINITY, 0];
    for (let to = 1; to <= size; to += 1) {
      if (seen[to]) continue;
      const reduced = cost(row - 1, to - 1) - (u[row] as number) - (v[to] as number);
      if (reduced < (least[to] as number)) {
        least[to] = reduced;
        came[to] = column;
      }
      if ((least[to] as number) < step) [step, next] = [least[to] as number, to];
    }
    for (let to = 0; to <= size; to += 1) {
      if (seen[to]) {
        const matched = rowOf[to] as number;
        u[matched] = (u[matched] as number) + step;
        v[to] = (v[to] as number) - step;
      } else least[to] = (least[to] as number) - step;
    }
    column = next;
  } while (rowOf[column] !== 0);
  while (column !== 0) {
    const before = came[column] as number;
    rowOf[column] = rowOf[before] as number;
    column = before;
  }
}
