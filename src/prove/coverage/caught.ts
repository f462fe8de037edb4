import { and, equals, not, type Variable } from "../../machine/expression.js";
import type { Model } from "../../machine/model.js";
import { assigned } from "../../machine/operation.js";
import type { Ref } from "../../machine/symbolic/bdd.js";
import type { Search } from "../../machine/symbolic/search.js";
import type { Context } from "../context.js";
import { cutSearch, valuesIn } from "./cutting.js";
import { looksOf } from "./looks.js";
import { neverInTime, sliceOf, stuckStates } from "./reveal.js";
import { SLIP, watchesOf } from "./slipped.js";
import { FAILURE_OVER, SLIPPED } from "./slips.js";

/**
 * For each slip that is seen on some path, by its number, the step that sees it, first in the text: lights not as listed,
 * a check that fails, a wait that never ends. A check that can fail without the slip too, with all that nothing in
 * the run changes being the same, tells nothing.
 */
export function caughtAt(plain: Context): ReadonlyMap<number, string> {
  const { world } = plain.model;
  const slip = world.outside(SLIP)!;
  const slipped = equals(world.done(SLIPPED), 1);
  const watches = watched(plain).map(({ ceased }) => ceased);
  const context = { ...plain, whole: sliceOf(plain, [equals(slip, 0), slipped, ...watches]) };
  const search = cutSearch(context, { at: new Map(), closed: new Set() }, [slip]).run();
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
  const changing = changingIn(plain.model, search);
  for (const { step, edge, wrong, kind } of looksOf(context).all) {
    const states = bdd.and(search.momentsOf(edge), space.set(wrong));
    const without = kind === "list" ? 0 : space.forget(space.restrict(states, slip, 0), changing);
    note(bdd.diff(states, without), step.name);
  }
  for (const { edge, step, ceased } of watched(plain)) note(bdd.and(search.momentsOf(edge), space.set(ceased)), step);
  for (const { states, step } of stuckStates(context, search)) note(states, step);
  for (const [edge, states] of neverInTime(context, search, slip)) if (edge.step) note(states, edge.step.name);
  return found;
}

/** Where a failure comes while a watch is kept, that what is watched is no longer so. */
function watched({ model, procedure }: Context) {
  const watches = watchesOf(procedure.steps).filter(({ ifNot }) => ifNot.length > 0);
  const isFailure = new Set(model.graph.edges.flatMap(({ step }) => (step?.name === FAILURE_OVER ? [step.span] : [])));
  return model.graph.edges.flatMap((edge) => {
    if (edge.step?.name !== SLIPPED || !isFailure.has(edge.step.span)) return [];
    return watches.map(({ name, condition }) => ({
      edge,
      step: name,
      ceased: and(equals(model.world.done(name), 1), not(model.world.lower(condition))),
    }));
  });
}

/** The variables of a search that something in the run can change. */
function changingIn({ graph, dynamics, memories, ticks, world }: Model, search: Search): readonly Variable[] {
  const found = new Set<Variable>([
    ...graph.edges.flatMap(({ operations }) => operations.flatMap(assigned)),
    ...dynamics.immediate.map(({ variable }) => variable),
    ...dynamics.delayed.flatMap(({ fire }) => fire.flatMap(assigned)),
    ...memories.flatMap(({ variables }) => variables),
    ...ticks.flatMap(assigned),
    ...[...world.system.gauges.keys()].flatMap((gauge) => world.gauges.moved(gauge)?.variables ?? []),
  ]);
  return search.space.variables.filter(
    (variable) => found.has(variable) || variable.role.kind === "memory" || variable.role.kind === "before",
  );
}
