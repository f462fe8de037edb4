import fc from "fast-check";
import { describe, expect, it, test } from "vitest";
import { assignmentBound } from "../../src/order/bound.js";
import { type OrderProblem, prepare } from "../../src/order/problem.js";
import { solveOrder } from "../../src/order/solver.js";
import { walkBound } from "../../src/order/walks.js";
import { PUBLISHED, readRows } from "./tsplib.js";

function costOf({ costs, early }: OrderProblem, order: readonly number[]): number {
  return order.reduce((sum, node, place) => {
    const last = order[place - 1];
    return sum + (last === undefined ? 0 : costs[last]![node]!) + place * (early?.[node] ?? 0);
  }, 0);
}

/** Does no thing of another group stand between two of one? */
function standTogether({ groups = [] }: OrderProblem, order: readonly number[]): boolean {
  const inRow = order.map((node) => groups[node]);
  return inRow.every((group, place) => inRow.indexOf(group) === place || inRow[place - 1] === group);
}

function keeps({ before, costs }: OrderProblem, order: readonly number[]): boolean {
  const whole =
    [...order].sort((a, b) => a - b).every((node, index) => node === index) && order.length === costs.length;
  return whole && before.every(([first, second]) => order.indexOf(first) < order.indexOf(second));
}

describe.each(PUBLISHED)("$name of TSPLIB", ({ rows, optimum }) => {
  const problem = readRows(rows);

  it("is solved to its proven optimum", () => {
    const solution = solveOrder(problem)!;
    expect(solution).toMatchObject({ cost: optimum, bound: optimum, optimal: true });
    expect(keeps(problem, solution.order)).toBe(true);
    expect(costOf(problem, solution.order)).toBe(optimum);
  });

  it("is never undercut, nor its bound overshot, where the exact search may remember nothing", () => {
    const solution = solveOrder(problem, { sets: 0, rounds: 20 })!;
    expect(keeps(problem, solution.order)).toBe(true);
    expect(solution.cost).toBeGreaterThanOrEqual(optimum);
    expect(solution.bound).toBeLessThanOrEqual(optimum + 1e-6);
    expect(solution.optimal).toBe(solution.cost <= solution.bound + 1e-6);
  });
});

const small = fc.integer({ min: 1, max: 7 }).chain((size) =>
  fc.record({
    costs: fc.array(fc.array(fc.integer({ min: 0, max: 50 }), { minLength: size, maxLength: size }), {
      minLength: size,
      maxLength: size,
    }),
    // From a lower to a higher number, so that there is always a row.
    before: fc.array(
      fc.tuple(fc.nat(size - 1), fc.nat(size - 1)).filter(([a, b]) => a < b),
      { maxLength: size === 1 ? 0 : 6 },
    ),
    early: fc.array(fc.integer({ min: 0, max: 30 }), { minLength: size, maxLength: size }),
  }),
);

/** The same, in rising groups. */
const grouped = small.chain((problem) =>
  fc
    .array(fc.nat(3), { minLength: problem.costs.length, maxLength: problem.costs.length })
    .map((groups) => ({ ...problem, groups: groups.toSorted((a, b) => a - b) })),
);

describe("any small problem", () => {
  it("comes out as trying every row does", () => {
    fc.assert(
      fc.property(small, (problem) => {
        const solution = solveOrder(problem)!;
        expect(solution.optimal).toBe(true);
        expect(keeps(problem, solution.order)).toBe(true);
        expect(solution.cost).toBe(cheapestOfAll(problem));
        expect(costOf(problem, solution.order)).toBe(solution.cost);
      }),
      { numRuns: 300, seed: 12 },
    );
  });

  it("comes out so in groups that stand together", () => {
    fc.assert(
      fc.property(grouped, (problem) => {
        const solution = solveOrder(problem)!;
        expect(solution.optimal).toBe(true);
        expect(keeps(problem, solution.order) && standTogether(problem, solution.order)).toBe(true);
        expect(solution.cost).toBe(cheapestOfAll(problem));
        const rough = solveOrder(problem, { sets: 0, rounds: 5 })!;
        expect(keeps(problem, rough.order) && standTogether(problem, rough.order)).toBe(true);
        expect(rough.bound).toBeLessThanOrEqual(solution.cost + 1e-6);
      }),
      { numRuns: 300, seed: 14 },
    );
  });

  it("has a bound that no row is below", () => {
    fc.assert(
      fc.property(small, (problem) => {
        const cheapest = cheapestOfAll(problem);
        expect(assignmentBound(prepare(problem)!).value).toBeLessThanOrEqual(cheapest + 1e-6);
        expect(walkBound(prepare(problem)!, cheapest + 5).value).toBeLessThanOrEqual(cheapest + 1e-6);
      }),
      { numRuns: 300, seed: 13 },
    );
  });
});

function cheapestOfAll(problem: OrderProblem): number {
  const visit = (order: readonly number[], left: readonly number[]): number => {
    if (problem.groups && !standTogether(problem, order)) return Number.POSITIVE_INFINITY;
    if (left.length === 0) return costOf(problem, order);
    const free = left.filter(
      (node) => !problem.before.some(([first, second]) => second === node && left.includes(first)),
    );
    return Math.min(
      ...free.map((node) =>
        visit(
          [...order, node],
          left.filter((other) => other !== node),
        ),
      ),
    );
  };
  return visit([], [...problem.costs.keys()]);
}

test("things that need each other in a ring have no row", () => {
  const costs = [0, 1, 2].map(() => [1, 1, 1]);
  expect(
    solveOrder({
      costs,
      before: [
        [0, 1],
        [1, 2],
        [2, 0],
      ],
    }),
  ).toBeUndefined();
});

test("what should be early comes first, whatever the way there costs", () => {
  const costs = [
    [0, 1, 9],
    [1, 0, 9],
    [9, 9, 0],
  ];
  expect(solveOrder({ costs, before: [] })?.cost).toBe(10);
  expect(solveOrder({ costs, before: [], early: [0, 0, 1000] })?.order[0]).toBe(2);
});

test("twenty places on a panel with nothing between them are solved exactly", () => {
  const problem = { costs: distances(places(20, 7)), before: [] };
  const solution = solveOrder(problem)!;
  expect(solution.optimal).toBe(true);
  // A second opinion: no exchange of two places, no turning round of a stretch makes it shorter.
  for (let a = 0; a < 20; a += 1) {
    for (let b = a + 2; b <= 20; b += 1) {
      const turned = [
        ...solution.order.slice(0, a),
        ...solution.order.slice(a, b).reverse(),
        ...solution.order.slice(b),
      ];
      expect(costOf(problem, turned)).toBeGreaterThanOrEqual(solution.cost - 1e-6);
    }
  }
});

test("thirty places on a panel are solved exactly too", () => {
  const solution = solveOrder({ costs: distances(places(30, 11)), before: [] })!;
  expect(solution.optimal).toBe(true);
  expect(solution.cost).toBeCloseTo(solution.bound, 6);
});

test("forty places in eight groups are solved exactly", () => {
  const groups = Array.from({ length: 40 }, (_, index) => Math.floor(index / 5));
  const problem = { costs: distances(places(40, 9)), before: [], groups };
  const solution = solveOrder(problem)!;
  expect(solution.optimal).toBe(true);
  expect(standTogether(problem, solution.order)).toBe(true);
});

test("eighty places under precedences come out well, with an honest bound, the same each time", () => {
  const before = Array.from({ length: 60 }, (_, index): [number, number] => [index, index + 7 + (index % 11)]);
  const problem = { costs: distances(places(80, 3)), before };
  const solution = solveOrder(problem, { rounds: 30 })!;
  expect(keeps(problem, solution.order)).toBe(true);
  expect(solution.bound).toBeLessThanOrEqual(solution.cost);
  expect(solution.optimal).toBe(false);
  expect(solveOrder(problem, { rounds: 30 })).toEqual(solution);
  expect(solution.cost).toBeLessThan(costOf(problem, [...problem.costs.keys()]) / 2);
});

test("when the time is up at once there is still a row", () => {
  const problem = { costs: distances(places(40, 5)), before: [[39, 0]] as const };
  const solution = solveOrder(problem, { deadline: () => true })!;
  expect(keeps(problem, solution.order)).toBe(true);
  expect(solution.optimal).toBe(false);
});

/** Places on a sheet of 600 by 300 mm, the same for the same seed (Lehmer 1951). */
function places(count: number, seed: number): readonly (readonly [number, number])[] {
  let state = seed;
  const next = () => {
    state = (state * 16807) % 2147483647;
    return state / 2147483647;
  };
  return Array.from({ length: count }, () => [600 * next(), 300 * next()] as const);
}

function distances(spots: readonly (readonly [number, number])[]): readonly (readonly number[])[] {
  return spots.map(([x, y]) => spots.map(([u, v]) => Math.hypot(x - u, y - v)));
}
