import { expect, test } from "vitest";
import type { Node } from "../../src/machine/graph/graph.js";
import { buildModel } from "../../src/machine/model.js";
import { EMPTY, type Ref } from "../../src/machine/symbolic/bdd.js";
import type { Search } from "../../src/machine/symbolic/search.js";
import type { PathStep } from "../../src/machine/symbolic/trace.js";
import { wayTo } from "../../src/machine/symbolic/trail.js";
import { contextOf } from "../../src/prove/context.js";
import { searchIn } from "../../src/prove/query.js";
import { synthetic } from "../bench/synthetic.js";
import { randomWorld, worldFrom } from "../support/random-world.js";

/** More, or other, worlds than the suite's own: `TRAIL_WORLDS=1000 TRAIL_SEED=100000 npx vitest run tests/prove/trail.test.ts`. */
const WORLDS = Number(process.env.TRAIL_WORLDS ?? 60);
const FIRST = Number(process.env.TRAIL_SEED ?? 1);

/** A way that is read back from how states came is gone forward here, by the steps alone. */
test(`a way to each place of ${WORLDS} random worlds can be gone, and ends where it was to lead`, () => {
  const wrong: string[] = [];
  let ways = 0;
  for (let seed = FIRST; seed < FIRST + WORLDS; seed++) {
    const found = waysIn(worldFrom(randomWorld(seed)), { isForgetful: false });
    wrong.push(...found.wrong.map((what) => `seed ${seed}: ${what}`));
    ways += found.ways;
  }
  expect(wrong.slice(0, 5)).toEqual([]);
  expect(ways).toBeGreaterThan(WORLDS * 5);
});

test("the same where what no longer counts is forgotten on the way", () => {
  for (const seed of [1, 2]) {
    const size = { controls: 70, steps: 40, branches: 2, rules: 1, lanes: true };
    const { wrong, ways } = waysIn(synthetic(seed, size), { isForgetful: true });
    expect(wrong.slice(0, 5)).toEqual([]);
    expect(ways).toBeGreaterThan(40);
  }
});

type World = Pick<ReturnType<typeof worldFrom>, "program" | "procedure" | "system">;

/** Ways to one state of each place; of a forgetful search, to any: what it has forgotten is no more told apart. */
function waysIn({ program, procedure, system }: World, { isForgetful }: { readonly isForgetful: boolean }) {
  const model = buildModel(program, system, procedure, system.tails[0]!);
  const context = contextOf(program, procedure, model, {});
  const search = searchIn(
    context,
    { monitors: [], names: [], ...(isForgetful ? { atPlace: new Map() } : {}) },
    context.whole,
  ).run();
  const { bdd } = search.space;
  const wrong: string[] = [];
  let ways = 0;
  for (const place of model.graph.nodes) {
    const come = search.reachedAt(place.id);
    const others = bdd.not(come);
    if (others !== EMPTY && wayTo(search, place, others)) wrong.push(`a way to where nothing came`);
    if (come === EMPTY) continue;
    const asked = isForgetful ? come : stateIn(search, come);
    const steps = wayTo(search, place, asked);
    if (!steps || endOf(steps, model.graph.start) !== place || !search.setsAlong(steps, asked, false))
      wrong.push(`place ${place.id}`);
    ways++;
  }
  return { wrong, ways };
}

function stateIn({ space }: Search, states: Ref): Ref {
  return [...space.pick(states)].reduce(
    (left, [variable, value]) => space.bdd.and(left, space.value(variable, value)),
    states,
  );
}

function endOf(steps: readonly PathStep[], start: Node): Node {
  const last = steps.at(-1);
  if (!last) return start;
  const { cause } = last.transition;
  return cause.kind === "edge" ? cause.edge.to : last.from;
}
