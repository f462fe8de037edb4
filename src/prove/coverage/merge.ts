import type { FailureRow, FaultRow, LeftOver, LightLook, Reveal, Seen, SlipRow } from "../../program/coverage.js";

/** What several tails see of each light at each step, as one. */
export function mergeLights(tails: readonly (readonly LightLook[])[]): readonly LightLook[] {
  return mergedBy(
    tails,
    ({ light, step }) => JSON.stringify([light, step]),
    (one, other) => ({ ...one, lit: both(one.lit, other.lit), out: both(one.out, other.out) }),
  );
}

function both(one: Seen, other: Seen): Seen {
  if (one === "unproved" || other === "unproved") return "unproved";
  return one === other ? one : "some";
}

/** A fault is revealed always where it is so on every tail on which it can be. */
export function mergeFaults(tails: readonly (readonly FaultRow[])[]): readonly FaultRow[] {
  return mergedBy(
    tails,
    ({ fault }) => fault.id,
    (one, other) => {
      const revealed = alike(one.revealed, other.revealed);
      const first = one.first ?? other.first;
      return { fault: one.fault, revealed, ...(first !== undefined && { first }) };
    },
  );
}

function alike(one: Reveal, other: Reveal): Reveal {
  if (one === other) return one;
  if (one === "unproved" || other === "unproved") return "unproved";
  if (one === "apart" || one === "no start") return other;
  return other === "apart" || other === "no start" ? one : "sometimes";
}

/** Of what a slip comes to on several tails, the worst. */
export function mergeSlips(tails: readonly (readonly SlipRow[])[]): readonly SlipRow[] {
  return mergedBy(
    tails,
    ({ slip }) => JSON.stringify([slip.kind, slip.step, slip.control, slip.detail]),
    (one, other) => (WORST.indexOf(other.verdict) < WORST.indexOf(one.verdict) ? other : one),
  );
}

const WORST: readonly SlipRow["verdict"][] = ["silent", "unproved", "caught", "harmless"];

/** Of what a failure comes to on several tails, the worst. */
export function mergeFailures(tails: readonly (readonly FailureRow[])[]): readonly FailureRow[] {
  const worst: readonly FailureRow["verdict"][] = ["unanswered", "unproved", "answered", "harmless"];
  return mergedBy(
    tails,
    ({ equipment, from, to, step }) => JSON.stringify([equipment, from, to, step]),
    (one, other) => (worst.indexOf(other.verdict) < worst.indexOf(one.verdict) ? other : one),
  );
}

/** What a control can do on any of several tails. */
export function mergeLeftOver(tails: readonly (readonly LeftOver[])[]): readonly LeftOver[] {
  return mergedBy(
    tails,
    ({ control }) => control,
    (one, other) => ({
      ...one,
      harms: [...one.harms, ...other.harms.filter(({ about }) => !one.harms.some((known) => known.about === about))],
      readBy: [...new Set([...one.readBy, ...other.readBy])],
    }),
  );
}

/** In the order in which they are first met. */
export function mergedBy<T>(
  lists: readonly (readonly T[])[],
  key: (one: T) => string,
  merge: (one: T, other: T) => T,
): readonly T[] {
  const found = new Map<string, T>();
  for (const one of lists.flat()) {
    const present = found.get(key(one));
    found.set(key(one), present === undefined ? one : merge(present, one));
  }
  return [...found.values()];
}
