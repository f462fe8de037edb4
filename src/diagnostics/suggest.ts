/**
 * The one candidate that the word most likely was meant to be, or undefined: only when it is near (one slip in a short word, two in
 * one of six letters or more; else the same parts in another order, or all but one of three or more) and no other candidate is as near.
 * Never a guess.
 */
export function suggest(word: string, candidates: Iterable<string>): string | undefined {
  const known = new Set(candidates);
  return nearestByLetters(word, known) ?? nearestByParts(word, known);
}

function nearestByParts(word: string, candidates: ReadonlySet<string>): string | undefined {
  for (const most of [0, 1]) {
    const near = [...candidates].filter((candidate) => differentParts(word, candidate) <= most);
    if (near.length > 0) return near.length === 1 ? near[0] : undefined;
  }
  return undefined;
}

/** Parts, as hyphens divide a name, of the longer of two names that the other lacks; infinite where too few are the same. */
function differentParts(one: string, other: string): number {
  const [longer, shorter] = [one.split("-"), other.split("-")].sort((a, b) => b.length - a.length) as [
    string[],
    string[],
  ];
  const left = [...shorter];
  for (const part of longer) if (left.includes(part)) left.splice(left.indexOf(part), 1);
  const shared = shorter.length - left.length;
  return shared < 2 ? Number.POSITIVE_INFINITY : longer.length - shared;
}

function nearestByLetters(word: string, candidates: ReadonlySet<string>): string | undefined {
  const limit = word.length < 3 ? 0 : word.length < 6 ? 1 : 2;
  let nearest: string | undefined;
  let least = limit + 1;
  let alone = false;
  for (const candidate of candidates) {
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
