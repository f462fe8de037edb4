/**
 * Things to be put in a row: each after those that it needs, at the least cost of going from one to the next. A sequential
 * ordering problem (Escudero 1988): the shortest path through all nodes of a graph under precedences.
 */
export interface OrderProblem {
  /** Cost of going from row to column; finite and not negative. The diagonal means nothing. */
  readonly costs: readonly (readonly number[])[];
  /** Pairs: the first comes before the second, wherever. */
  readonly before: readonly (readonly [number, number])[];
  /** What each thing costs for every place further back; nothing where absent. Large: as early as can be. */
  readonly early?: readonly number[];
  /** Things with the same number stand together, nothing of another number between them; each alone where absent. */
  readonly groups?: readonly number[];
}

/** A row of all things, what it costs, and a cost below which no row can be. `optimal`: the two are the same. */
export interface OrderSolution {
  readonly order: readonly number[];
  readonly cost: number;
  readonly bound: number;
  readonly optimal: boolean;
}

/** The problem with what follows from its precedences. */
export interface Prepared {
  readonly size: number;
  readonly costs: readonly (readonly number[])[];
  readonly early: readonly number[];
  readonly groups: readonly number[];
  /** `precedes[i][j]`: i comes before j, directly or by way of others. */
  readonly precedes: readonly (readonly boolean[])[];
  /** What comes directly before each; nothing that follows from the rest. */
  readonly needs: readonly (readonly number[])[];
}

/** Undefined where things need each other in a ring, so that no row is possible. */
export function prepare(problem: OrderProblem): Prepared | undefined {
  const size = problem.costs.length;
  const groups = problem.groups ?? [...problem.costs.keys()];
  const precedes = closure(size, [...problem.before, ...betweenGroups(problem.before, groups)]);
  if (precedes.some((row, index) => row[index])) return undefined;
  const needs = Array.from({ length: size }, (_, to) => directly(to, precedes));
  const early = problem.early ?? Array.from({ length: size }, () => 0);
  return { size, costs: problem.costs, early, groups, precedes, needs };
}

/** What a row costs. */
export function costOf(problem: Prepared, order: readonly number[]): number {
  return order.reduce((sum, node, place) => {
    const before = order[place - 1];
    const step = before === undefined ? 0 : (problem.costs[before]?.[node] ?? 0);
    return sum + step + place * (problem.early[node] ?? 0);
  }, 0);
}

/** True where the second may come straight after the first: nothing has to come between, and not the other way round. */
export function mayFollow(problem: Prepared, first: number, second: number): boolean {
  if (first === second || problem.precedes[second]?.[first]) return false;
  return !problem.precedes[first]?.[second] || (problem.needs[second]?.includes(first) ?? false);
}

/** Where one thing of a group comes before one of another, all of it does. */
function betweenGroups(
  before: OrderProblem["before"],
  groups: readonly number[],
): readonly (readonly [number, number])[] {
  const members = new Map(
    groups.map((group) => [group, groups.flatMap((other, node) => (other === group ? [node] : []))]),
  );
  const pairs = new Map<string, readonly [number, number]>();
  for (const [first, second] of before) {
    const [one, other] = [groups[first]!, groups[second]!];
    if (one !== other) pairs.set(`${one} ${other}`, [one, other]);
  }
  return [...pairs.values()].flatMap(([one, other]) =>
    members.get(one)!.flatMap((first) => members.get(other)!.map((second) => [first, second] as const)),
  );
}

function closure(size: number, before: readonly (readonly [number, number])[]): boolean[][] {
  const reach = Array.from({ length: size }, () => Array.from({ length: size }, () => false));
  for (const [from, to] of before) {
    const row = reach[from];
    if (row) row[to] = true;
  }
  for (let via = 0; via < size; via += 1) {
    for (const row of reach) {
      if (!row[via]) continue;
      for (let to = 0; to < size; to += 1) if (reach[via]?.[to]) row[to] = true;
    }
  }
  return reach;
}

function directly(to: number, precedes: readonly (readonly boolean[])[]): readonly number[] {
  const all = precedes.flatMap((row, from) => (row[to] ? [from] : []));
  return all.filter((from) => !all.some((other) => precedes[from]?.[other]));
}
