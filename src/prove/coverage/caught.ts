import { and, equals, not } from "../../machine/expression.js";
import type { Ref } from "../../machine/symbolic/bdd.js";
import type { Step } from "../../program/procedure.js";
import type { Context } from "../context.js";
import { cutSearch, valuesIn } from "./cutting.js";
import { looksOf } from "./looks.js";
import { isHeldBefore, SLIP, watchesOf } from "./slipped.js";
import { SLIPPED } from "./slips.js";
import { type Usual, usualAt } from "./usual.js";
import { askedAtPlaces, neverInTime, sliceOf, stuckStates } from "./waits.js";

/**
 * For each slip that is seen on some path, by its number, the step that sees it, first in the text: lights not as listed,
 * a check that fails, a wait that never ends. Those that can do so where all is well, too, tell nothing.
 */
export function caughtAt(plain: Context, usual: Usual): ReadonlyMap<number, string> {
  const { world } = plain.model;
  const slip = world.outside(SLIP)!;
  const slipped = equals(world.done(SLIPPED), 1);
  const watches = watched(plain).map(({ ceased }) => ceased);
  const telling = (what: "checks" | "waits", step: Step) => not(world.lower(usualAt(usual, what, step)));
  const looks = looksOf(plain).all.map((look) =>
    look.kind === "list" ? look : { ...look, wrong: and(look.wrong, telling("checks", look.step)) },
  );
  const seen = [...looks.map(({ wrong }) => wrong), ...[...usual.waits.values()].map((one) => world.lower(one))];
  const context = { ...plain, whole: sliceOf(plain, [equals(slip, 0), slipped, ...watches, ...seen]) };
  const late = plain.model.graph.probes.flatMap(({ kind, step, edges }) =>
    kind === "if-not" && step?.kind === "wait-for"
      ? edges.map(({ from }) => [from, telling("waits", step)] as const)
      : [],
  );
  const asked = askedAtPlaces(
    context,
    [slip, world.done(SLIPPED)],
    [
      ...looks.map(({ edge, wrong }) => [edge.from, wrong] as const),
      ...watched(plain).map(({ edge, ceased }) => [edge.from, ceased] as const),
      ...late,
    ],
  );
  const search = cutSearch(context, { at: new Map(), closed: new Set() }, [slip], asked).run();
  const { space } = search;
  const { bdd } = space;
  const found = new Map<number, string>();
  const order = (step: string) => plain.textOrder.get(step) ?? 0;
  const note = (states: Ref, step: string) => {
    for (const value of valuesIn(search, bdd.and(states, space.set(slipped)), slip)) {
      const present = found.get(value);
      if (value > 0 && (present === undefined || order(step) < order(present))) found.set(value, step);
    }
  };
  for (const { step, edge, wrong } of looks) note(bdd.and(search.momentsOf(edge), space.set(wrong)), step.name);
  for (const { edge, step, ceased } of watched(plain)) note(bdd.and(search.momentsOf(edge), space.set(ceased)), step);
  for (const { states, step } of stuckStates(context, search)) note(states, step.name);
  for (const [{ step }, states] of neverInTime(context, search))
    if (step) note(bdd.and(states, space.set(telling("waits", step))), step.name);
  return found;
}

/** Where a failure comes while a watch is kept, that what was so until then is no longer so. */
function watched({ model, procedure }: Context) {
  const watches = watchesOf(procedure.steps).filter(({ ifNot }) => ifNot.length > 0);
  return model.graph.edges.flatMap((edge) => {
    const { kind, step } = edge;
    if (kind !== "act" || step?.name !== SLIPPED || step.needs?.kind !== "and") return [];
    const held = step.needs.of;
    return watches
      .filter((watch) => held.some((part) => isHeldBefore(part, watch)))
      .map(({ name, condition }) => ({ edge, step: name, ceased: not(model.world.lower(condition)) }));
  });
}
