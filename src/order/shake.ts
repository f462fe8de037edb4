import type { Prepared } from "./problem.js";

/** Some things are taken out, a stretch or here and there, and put back one by one where they cost least, now and then beside that. */
export function shaken(
  problem: Prepared,
  order: readonly number[],
  random: (below: number) => number,
): readonly number[] {
  const many = Math.min(order.length, 4 + random(Math.max(1, Math.min(12, Math.floor(order.length / 3)))));
  const from = random(order.length);
  const stretch = random(2) === 0;
  const out = new Set(
    Array.from(
      { length: many },
      (_, index) => order[stretch ? (from + index) % order.length : random(order.length)] as number,
    ),
  );
  const waiting = [...out];
  let row = order.filter((node) => !out.has(node));
  while (waiting.length > 0) {
    const [node] = waiting.splice(random(waiting.length), 1);
    if (node !== undefined) row = inserted(problem, row, node, random);
  }
  return row;
}

function inserted(
  problem: Prepared,
  row: readonly number[],
  node: number,
  random: (below: number) => number,
): number[] {
  const own = problem.precedes[node] as readonly boolean[];
  const first = row.findLastIndex((other) => problem.precedes[other]?.[node]) + 1;
  const after = row.findIndex((other) => own[other]);
  const last = after < 0 ? row.length : after;
  const step = (a: number | undefined, b: number | undefined) =>
    a === undefined || b === undefined ? 0 : ((problem.costs[a] as readonly number[])[b] as number);
  let [best, least] = [first, Number.POSITIVE_INFINITY];
  for (let at = first; at <= last; at += 1) {
    if (random(12) === 0) continue;
    const more =
      step(row[at - 1], node) + step(node, row[at]) - step(row[at - 1], row[at]) + at * (problem.early[node] as number);
    if (more < least) [best, least] = [at, more];
  }
  return row.toSpliced(best, 0, node);
}

/** Numbers that look random and are the same each time (Mulberry32, public domain). */
export function generator(seed: number): (below: number) => number {
  let state = seed;
  return (below) => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) % below;
  };
}
