import { expect, test } from "vitest";
import { buildModel } from "../../src/machine/model.js";
import { EMPTY, type Ref } from "../../src/machine/symbolic/bdd.js";
import type { Search } from "../../src/machine/symbolic/search.js";
import type { Path } from "../../src/machine/symbolic/trace.js";
import { askOfActs } from "../../src/prove/answer.js";
import { contextOf } from "../../src/prove/context.js";
import { questionOf } from "../../src/prove/monitors.js";
import { queryOf } from "../../src/prove/rules.js";
import { randomWorld, worldFrom } from "../support/random-world.js";

/** More, or other, worlds than the suite's own: `WALK_WORLDS=3000 WALK_SEED=100000 npx vitest run tests/prove/walk.test.ts`. */
const WORLDS = Number(process.env.WALK_WORLDS ?? 200);
const FIRST = Number(process.env.WALK_SEED ?? 1);

/**
 * A way is gone back beside what is fixed on it, operation by operation. Here it is gone in whole diagrams, each step forward and back
 * through the inverse of all of its operations: the same states come to the same ends.
 */
test(`the ways to broken rules in ${WORLDS} random worlds hold the same states in whole diagrams`, {
  timeout: 600_000,
}, () => {
  const different: string[] = [];
  let ways = 0;
  for (let seed = FIRST; seed < FIRST + WORLDS; seed++) {
    const { program, procedure, system } = worldFrom(randomWorld(seed));
    const model = buildModel(program, system, procedure, system.tails[0]!);
    const context = contextOf(program, procedure, model, {});
    for (const lowered of model.rules) {
      const answer = askOfActs(context, queryOf(context, questionOf(model, lowered)));
      if (answer.verdict !== "violated") continue;
      ways++;
      const { search, path } = answer;
      const sets = path.sets.map((states) => search.space.factoring.plain(states));
      if (wholeSets(search, path, sets.at(-1)!).join() !== sets.join())
        different.push(`seed ${seed}, ${lowered.rule.id}`);
    }
  }
  expect(different.slice(0, 5)).toEqual([]);
  expect(ways).toBeGreaterThan(WORLDS / 3);
});

/** The states at the beginning of each step that come to the last ones, and those. */
function wholeSets({ space, start }: Search, { steps, endsAtMoment }: Path, last: Ref): readonly Ref[] {
  const { bdd } = space;
  const operationsOf = (index: number) => {
    const { operations, rest } = steps[index]!.transition;
    return endsAtMoment && index === steps.length - 1 ? { operations, rest: [] } : { operations, rest };
  };
  const moments: Ref[] = [];
  const come: Ref[] = [start];
  for (let index = 0; index < steps.length; index++) {
    const { operations, rest } = operationsOf(index);
    const moment = space.forward(come.at(-1)!, operations);
    const isLast = endsAtMoment && index === steps.length - 1;
    moments.push(isLast ? moment : bdd.diff(moment, space.set(steps[index]!.transition.broken)));
    come.push(space.forward(moments.at(-1)!, rest));
  }
  const sets = [last];
  for (let index = steps.length - 1; index >= 0; index--) {
    const { operations, rest } = operationsOf(index);
    const target = bdd.and(space.backward(sets[0]!, rest), moments[index]!);
    sets.unshift(bdd.and(space.backward(target, operations), come[index]!));
    expect(sets[0]).not.toBe(EMPTY);
  }
  return sets;
}
