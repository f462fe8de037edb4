import { expect, test } from "vitest";
import { runConcrete, type State } from "../../src/machine/concrete.js";
import { evaluate, isIn, or } from "../../src/machine/expression.js";
import { buildModel } from "../../src/machine/model.js";
import { EMPTY, type Ref } from "../../src/machine/symbolic/bdd.js";
import type { Search } from "../../src/machine/symbolic/search.js";
import type { Path } from "../../src/machine/symbolic/trace.js";
import { askOfActs } from "../../src/prove/answer.js";
import { contextOf } from "../../src/prove/context.js";
import { questionOf } from "../../src/prove/monitors.js";
import { queryOf } from "../../src/prove/rules.js";
import { storyOf } from "../../src/prove/story.js";
import { Dice, randomWorld, worldFrom } from "../support/random-world.js";

/** More, or other, worlds than the suite's own: `REPLAY_WORLDS=5000 REPLAY_SEED=100000 npx vitest run tests/prove/replay.test.ts`. */
const WORLDS = Number(process.env.REPLAY_WORLDS ?? 300);
const FIRST = Number(process.env.REPLAY_SEED ?? 1);
/** Starts that are tried for each story. */
const STARTS = 20;

/**
 * A story names what of its start counts and says that the rest may be anything. Here the rest is anything: from starts drawn at
 * random among those that it allows, the same acts and changes are run on single values, and each time they end wrong.
 */
test(`every story of a broken rule in ${WORLDS} random worlds happens from whatever start it allows`, {
  timeout: 600_000,
}, () => {
  const failures: string[] = [];
  let stories = 0;
  for (let seed = FIRST; seed < FIRST + WORLDS; seed++) {
    for (const broken of brokenRules(seed)) {
      stories++;
      const dice = new Dice(seed);
      for (let start = 0; start < STARTS; start++)
        if (!happens(broken, dice)) failures.push(`seed ${seed}, ${broken.rule}`);
    }
  }
  expect([...new Set(failures)].slice(0, 5)).toEqual([]);
  expect(stories).toBeGreaterThan(WORLDS / 3);
});

interface Broken {
  readonly rule: string;
  readonly search: Search;
  readonly path: Path;
  /** Every start that the story allows. */
  readonly starts: Ref;
  readonly isWrong: (state: State) => boolean;
}

function brokenRules(seed: number): readonly Broken[] {
  const { program, procedure, system } = worldFrom(randomWorld(seed));
  const model = buildModel(program, system, procedure, system.tails[0]!);
  const context = contextOf(program, procedure, model, {});
  return model.rules.flatMap((lowered) => {
    const query = queryOf(context, questionOf(model, lowered));
    const answer = askOfActs(context, query);
    if (answer.verdict !== "violated") return [];
    const { search, path, relevant } = answer;
    const wrong = path.endsAtMoment ? path.steps.at(-1)!.transition.broken : or(...query.atPlace.values());
    const isWrong = (state: State) => evaluate(wrong, state);
    const story = storyOf(search, path, { isWrong, relevant });
    const { bdd } = search.space;
    const starts = story!.literals.reduce(
      (set, { variable, values }) => bdd.and(set, search.space.set(isIn(variable, values))),
      search.start,
    );
    return [{ rule: lowered.rule.id, search, path, starts, isWrong }];
  });
}

function happens({ search, path, starts, isWrong }: Broken, dice: Dice): boolean {
  let states: State[] = [drawn(search, starts, dice)];
  for (const [index, { transition }] of path.steps.entries()) {
    const isLast = path.endsAtMoment && index === path.steps.length - 1;
    const operations = isLast ? transition.operations : [...transition.operations, ...transition.rest];
    const next = states.flatMap((state) => [...runConcrete(state, operations, search.transitions.settling.choices)]);
    states = next.filter((state) => search.space.factoring.contains(path.sets[index + 1]!, state)).slice(0, 1);
  }
  return states.some(isWrong);
}

/** One state of a set, each value drawn at random among those that are left. */
function drawn({ space, transitions }: Search, set: Ref, dice: Dice): State {
  const state: State = new Int32Array(transitions.model.world.variables.length);
  let left = set;
  for (const variable of space.variables) {
    const values = Array.from({ length: variable.size }, (_, value) => value);
    const possible = values.filter((value) => space.bdd.and(left, space.value(variable, value)) !== EMPTY);
    const value = dice.pick(possible);
    state[variable.index] = value;
    left = space.bdd.and(left, space.value(variable, value));
  }
  return state;
}
