import { invariant } from "../../invariant.js";
import type { Variable } from "../../machine/expression.js";
import { EMPTY, FULL, type Ref } from "../../machine/symbolic/bdd.js";
import type { Search } from "../../machine/symbolic/search.js";
import type { Space } from "../../machine/symbolic/space.js";
import type { World } from "../../machine/world/world.js";
import type { Condition } from "../../program/condition.js";
import type { Procedure, Step } from "../../program/procedure.js";
import { walkSteps } from "../../program/walk.js";
import type { Context } from "../context.js";
import { type Cuts, cutSearch } from "./cutting.js";
import { looksOf } from "./looks.js";
import { neverInTime, sliceOf } from "./reveal.js";

/**
 * What happens where all is well too, by the name of the step: a check that may fail, a wait that may run out for good. Each
 * with where it does so, said of what nothing in a run moves: where that is the same, it tells nothing.
 */
export interface Usual {
  readonly checks: ReadonlyMap<string, Condition>;
  readonly waits: ReadonlyMap<string, Condition>;
}

export const NOTHING_USUAL: Usual = { checks: new Map(), waits: new Map() };

/** `failing`: equipment that fails by itself is moved. `closed` are ways that nobody goes where all is well. */
export function usualOf(plain: Context, { failing, closed }: { failing: boolean; closed: Cuts["closed"] }): Usual {
  const { world } = plain.model;
  const checks = new Map<string, Condition>();
  const waits = new Map<string, Condition>();
  const failable = looksOf(plain).all.filter(({ kind }) => kind === "check");
  const isLimited = plain.model.graph.probes.some(({ kind, step }) => kind === "if-not" && step?.kind === "wait-for");
  if (failable.length === 0 && !isLimited) return { checks, waits };
  const context = { ...plain, whole: sliceOf(plain, []) };
  const search = cutSearch(context, { at: new Map(), closed }, []).run();
  const { space } = search;
  const moved = movedIn(plain.procedure, world, failing);
  const others = forgotten(search, moved);
  const add = (to: Map<string, Condition>, step: Step, states: Ref) => {
    if (states === EMPTY) return;
    const where = conditionOf(space, space.forget(states, others), world);
    const before = to.get(step.name);
    to.set(step.name, before ? { kind: "or", of: [before, where], span: step.span } : where);
  };
  for (const { step, edge, wrong } of failable)
    add(checks, step, space.bdd.and(search.momentsOf(edge), space.set(wrong)));
  for (const [edge, states] of neverInTime(context, search)) if (edge.step) add(waits, edge.step, states);
  return { checks, waits };
}

/** Ids of what some line or some change of equipment moves. A guard and what is under it go together. */
function movedIn({ steps }: Procedure, { system }: World, failing: boolean): ReadonlySet<string> {
  const byLines = [...walkSteps(steps)].flatMap((step): readonly string[] => {
    if (step.kind === "ask") return [step.outside];
    if (step.kind !== "set" && step.kind !== "verify" && step.kind !== "press" && step.kind !== "hold") return [];
    return step.moves.flatMap(({ controls }) => controls);
  });
  const guards = byLines.flatMap((id) => {
    const control = system.controls.get(id);
    return [control?.guard, control?.guards?.control].flatMap((one) => one ?? []);
  });
  const changing = [...system.equipment.values()].filter(({ changes }) =>
    changes.some(({ anytime }) => failing || !anytime),
  );
  return new Set([...byLines, ...guards, ...changing.map(({ id }) => id)]);
}

/** The variables of a search to be forgotten: all but those of things that stay as they are. */
function forgotten({ space }: Search, moved: ReadonlySet<string>): readonly Variable[] {
  return space.variables.filter(({ role }) => {
    if (role.kind !== "control" && role.kind !== "equipment" && role.kind !== "outside") return true;
    return moved.has(role.thing);
  });
}

/** A set of states of controls, equipment and things outside as a condition on them. */
function conditionOf(space: Space, set: Ref, world: World): Condition {
  const { span } = world.system;
  const visit = (at: Ref): Condition => {
    if (at === EMPTY || at === FULL) return { kind: "constant", value: at === FULL, span };
    const variable = space.supportOf(at)[0]!;
    const { role } = variable;
    invariant(role.kind === "control" || role.kind === "equipment" || role.kind === "outside", "all else is forgotten");
    const cases = world.statesOf(role.thing).map((state, value): Condition => {
      const is: Condition = { kind: "is", of: role.kind, thing: role.thing, values: [state], negated: false, span };
      return { kind: "and", of: [is, visit(space.restrict(at, variable, value))], span };
    });
    return { kind: "or", of: cases, span };
  };
  return visit(set);
}

/** The condition under which a failing check, or a wait that runs out, tells nothing. */
export function usualAt(usual: ReadonlyMap<string, Condition>, { name, span }: Step): Condition {
  return usual.get(name) ?? { kind: "constant", value: false, span };
}
