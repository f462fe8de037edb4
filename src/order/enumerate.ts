import { type OrderProblem, prepare } from "./problem.js";

/** How many beginnings of rows are looked at before it is given up. */
const MOST = 100_000;

/**
 * A row that costs less than `below` and is not known; "none" where there is none, "too-many" where that could not be seen in a bounded
 * search. Depth first: a beginning is dropped where even the cheapest ways on to all that is left come to too much.
 */
export function shorterOrders(
  problem: OrderProblem,
  below: number,
  isKnown: (order: readonly number[]) => boolean,
): readonly number[] | "none" | "too-many" {
  const prepared = prepare(problem);
  if (!prepared) return "none";
  const { size, costs, needs, early, groups } = prepared;
  const others = groups.map((group, node) => groups.flatMap((one, at) => (one === group && at !== node ? [at] : [])));
  const least = Array.from({ length: size }, (_, to) =>
    leastOf(costs.flatMap((row, from) => (from === to ? [] : [row[to]!]))),
  );
  const order: number[] = [];
  const used = new Array<boolean>(size).fill(false);
  let looked = 0;
  const visit = (sofar: number): readonly number[] | "none" | "too-many" => {
    looked += 1;
    if (looked > MOST) return "too-many";
    if (order.length === size) return isKnown(order) ? "none" : [...order];
    const place = order.length;
    const last = order[place - 1];
    const isOpen = last !== undefined && others[last]!.some((node) => !used[node]);
    for (let node = 0; node < size; node += 1) {
      if (isOpen && groups[node] !== groups[last]) continue;
      if (used[node] || needs[node]!.some((need) => !used[need])) continue;
      const cost = sofar + (last === undefined ? 0 : costs[last]![node]!) + place * early[node]!;
      order.push(node);
      used[node] = true;
      const found = cost + rest(place + 1) < below ? visit(cost) : "none";
      order.pop();
      used[node] = false;
      if (found !== "none") return found;
    }
    return "none";
  };
  /** At least what is left costs: each is come to, and none stands further in front than `place`. */
  const rest = (place: number): number => {
    let sum = 0;
    for (let node = 0; node < size; node += 1) if (!used[node]) sum += least[node]! + place * early[node]!;
    return sum;
  };
  return visit(0);
}

function leastOf(values: readonly number[]): number {
  return values.length === 0 ? 0 : Math.min(...values);
}
