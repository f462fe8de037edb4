import type { Condition } from "../../program/condition.js";
import type { System, Tail } from "../../program/system.js";
import { findThing } from "./names.js";

/**
 * The ships on which every one of `conditions` (over fit variables) holds, as words for the card: `Anser only`.
 * Undefined where they hold on all.
 */
export function onlyOn(system: System, conditions: readonly (Condition | undefined)[]): string | undefined {
  const given = conditions.filter((condition) => condition !== undefined);
  const tails = system.tails.filter((tail) => given.every((condition) => holdsOn(system, tail, condition)));
  if (given.length === 0 || tails.length === system.tails.length) return undefined;
  return tails.length === 0 ? "not on any ship" : `${tails.map((tail) => tail.name).join(", ")} only`;
}

function holdsOn(system: System, tail: Tail, condition: Condition): boolean {
  switch (condition.kind) {
    case "constant":
      return condition.value;
    case "and":
      return condition.of.every((part) => holdsOn(system, tail, part));
    case "or":
      return condition.of.some((part) => holdsOn(system, tail, part));
    case "not":
      return !holdsOn(system, tail, condition.of);
    case "is":
      return condition.values.includes(tail.fit.get(condition.thing) ?? "") !== condition.negated;
    case "fitted": {
      const fitted = findThing(system, condition.thing)?.fitted;
      return !fitted || holdsOn(system, tail, fitted);
    }
    case "named": {
      const named = system.conditions.get(condition.condition);
      return !named || holdsOn(system, tail, named.means);
    }
    default:
      return true;
  }
}
