/**
 * The one candidate that the word most likely was meant to be, or undefined: only when it is near (one slip in a short word, two in
 * one of six letters or more) and no other candidate is as near. Never a guess.
 */
export function suggest(word: string, candidates: Iterable<string>): string | undefined {
  const limit = word.length < 3 ? 0 : word.length < 6 ? 1 : 2;
  let nearest: string | undefined;
  let least = limit + 1;
  let alone = false;
  for (const candidate of new Set(candidates)) {
    const distance = slips(word, candidate, limit);
    if (distance > limit || distance > least) continue;
    alone = distance < least;
    least = distance;
    nearest = candidate;
  }
  return alone ? nearest : undefined;
}

/** Letters added, left out, replaced or swapped with their neighbour (optimal string alignment distance); more than `limit` is `limit + 1`. */
function slips(a: string, b: string, limit: number): number {
  if (Math.abs(a.length - b.length) > limit) return limit + 1;
  let before: number[] = [];
  let row = Array.from({ length: b.length + 1 }, (_, column) => column);
  for (let i = 1; i <= a.length; i++) {
    const next = [i];
    for (let j = 1; j <= b.length; j++) {
      const replaced = row[j - 1]! + (a[i - 1] === b[j - 1] ? 0 : 1);
      let best = Math.min(replaced, row[j]! + 1, next[j - 1]! + 1);
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1]) best = Math.min(best, before[j - 2]! + 1);
      next.push(best);
    }
    before = row;
    row = next;
  }
  return Math.min(row[b.length]!, limit + 1);
}
