import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { planOrder } from "../../src/order/plan.js";
import type { OrderProblem } from "../../src/order/problem.js";

/** Broken where one of the pairs is the wrong way round; of a list of pairs in one clause only where all of them are. */
function judge(clauses: readonly (readonly (readonly [number, number])[])[]) {
  return (order: readonly number[]): number | undefined => {
    const wrong = ([first, second]: readonly [number, number]) => order.indexOf(first) > order.indexOf(second);
    const index = clauses.findIndex((pairs) => pairs.every(wrong));
    return index < 0 ? undefined : index;
  };
}

function cost({ costs, early }: OrderProblem, order: readonly number[]): number {
  return order.reduce(
    (sum, node, place) => sum + (place > 0 ? costs[order[place - 1]!]![node]! : 0) + place * (early?.[node] ?? 0),
    0,
  );
}

function everyOrder(left: readonly number[]): readonly (readonly number[])[] {
  if (left.length === 0) return [[]];
  return left.flatMap((node) => everyOrder(left.filter((other) => other !== node)).map((rest) => [node, ...rest]));
}

const problems = fc.integer({ min: 2, max: 6 }).chain((size) => {
  const pair = fc
    .tuple(fc.nat(size - 1), fc.nat(size - 1))
    .filter(([a, b]) => a !== b)
    .map(([a, b]): readonly [number, number] => [Math.min(a, b), Math.max(a, b)]);
  return fc.record({
    costs: fc.array(fc.array(fc.nat(60), { minLength: size, maxLength: size }), { minLength: size, maxLength: size }),
    before: fc.array(pair, { maxLength: 2 }),
    clauses: fc.array(fc.array(pair, { minLength: 1, maxLength: 2 }), { maxLength: 5 }),
  });
});

function standTogether(groups: readonly number[], order: readonly number[]): boolean {
  const inRow = order.map((node) => groups[node]);
  return inRow.every((group, place) => inRow.indexOf(group) === place || inRow[place - 1] === group);
}

describe("a plan against every order tried", () => {
  it("keeps groups together in all that it tries, and is the cheapest of such", () => {
    const grouped = problems.chain((problem) =>
      fc
        .array(fc.nat(2), { minLength: problem.costs.length, maxLength: problem.costs.length })
        .map((groups) => ({ ...problem, groups: groups.toSorted((a, b) => a - b) })),
    );
    fc.assert(
      fc.property(grouped, ({ costs, before, clauses, groups }) => {
        const judged = judge(clauses);
        const breaks = (order: readonly number[]) => {
          expect(standTogether(groups, order)).toBe(true);
          return judged(order);
        };
        const plan = planOrder({ costs, before, groups }, breaks, { certify: 1000 });
        const isAllowed = (order: readonly number[]) =>
          standTogether(groups, order) &&
          before.every(([first, second]) => order.indexOf(first) < order.indexOf(second)) &&
          judged(order) === undefined;
        const allowed = everyOrder([...costs.keys()]).filter(isAllowed);
        expect(plan.optimal).toBe("all-tried");
        expect(plan.cost).toBe(Math.min(...allowed.map((order) => cost({ costs, before }, order))));
      }),
      { numRuns: 300, seed: 23 },
    );
  });

  it("is the cheapest that the judge allows, whatever pairs or sets of pairs it looks at", () => {
    fc.assert(
      fc.property(problems, ({ costs, before, clauses }) => {
        const breaks = judge(clauses);
        const plan = planOrder({ costs, before }, breaks, { certify: 1000 });
        const keeps = (order: readonly number[]) =>
          before.every(([first, second]) => order.indexOf(first) < order.indexOf(second));
        const allowed = everyOrder([...costs.keys()]).filter((order) => keeps(order) && breaks(order) === undefined);
        expect(plan.optimal).toBe("all-tried");
        expect(breaks(plan.order)).toBeUndefined();
        expect(keeps(plan.order)).toBe(true);
        expect(plan.cost).toBe(Math.min(...allowed.map((order) => cost({ costs, before }, order))));
        expect(plan.present).toBe(cost({ costs, before }, [...costs.keys()]));
      }),
      { numRuns: 300, seed: 21 },
    );
  });

  it("with single pairs learns only pairs that the judge looks at, and is exact without trying more", () => {
    fc.assert(
      fc.property(problems, ({ costs, clauses }) => {
        const pairs = clauses.map((clause) => clause.slice(0, 1));
        const breaks = judge(pairs);
        const plan = planOrder({ costs, before: [] }, breaks);
        for (const { first, second, why } of plan.learned) expect(pairs[why]).toEqual([[first, second]]);
        const allowed = everyOrder([...costs.keys()]).filter((order) => breaks(order) === undefined);
        expect(plan.optimal).not.toBe("open");
        expect(plan.cost).toBe(Math.min(...allowed.map((order) => cost({ costs, before: [] }, order))));
      }),
      { numRuns: 300, seed: 22 },
    );
  });
});

/** On a line, three pairs of neighbours the wrong way round between two ends. */
const at = [0, 2, 1, 4, 3, 6, 5, 7];
const line = at.map((a) => at.map((b) => Math.abs(a - b)));
const ends = at.flatMap((_, node): (readonly [number, number])[] => [
  ...(node > 0 ? [[0, node] as const] : []),
  ...(node < 7 ? [[node, 7] as const] : []),
]);

describe("a plan", () => {
  it("says exact, not all-tried, where rows that are cheaper than the pairs allow were not tried", () => {
    const breaks = judge([[[1, 2]], [[3, 4]], [[5, 6]]]);
    const present = [...at.keys()];
    expect(planOrder({ costs: line, before: ends }, breaks)).toMatchObject({ order: present, optimal: "exact" });
    const tried = planOrder({ costs: line, before: ends }, breaks, { certify: 20 });
    expect(tried).toMatchObject({ order: present, optimal: "all-tried" });
  });

  it("keeps the present order, and says that it is not over, when the time is up", () => {
    const plan = planOrder({ costs: line, before: ends }, () => undefined, { deadline: () => true });
    expect(plan).toMatchObject({ order: [...at.keys()], optimal: "open", finished: false, learned: [] });
  });
});
