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
import { dependsOn } from "./depends.js";
import { looksOf } from "./looks.js";
import { neverInTime, sliceOf, stuckStates } from "./waits.js";

/**
 * What happens where all is well too, by the name of the step: a check that may fail, a wait that may run out for good, a wait or
 * loop that never ends. Each with where it does so: of a check said of what nothing in a run moves, of waits and loops of all that
 * the condition depends on. Where that is the same, it tells nothing.
 */
export interface Usual {
  readonly checks: ReadonlyMap<string, Condition>;
  readonly waits: ReadonlyMap<string, Condition>;
  readonly stuck: ReadonlyMap<string, Condition>;
  /** How things stand that nothing moves: a check in other cases cannot be compared. */
  readonly possible: Condition;
}

/** Without a slip; where equipment fails by itself, too, that is moved. Nothing is stuck in a procedure without errors. */
export function usualWithoutSlip(plain: Context, failing: boolean): Usual {
  return usualIn(plain, { failing, closed: new Set(), isComparedFromStart: false });
}

/** Without a fault, where nobody goes the ways that answer a list that is wrong. With a fault, equipment may stand otherwise at the start. */
export function usualWithoutFault(plain: Context): Usual {
  return usualIn(plain, { failing: false, closed: looksOf(plain).answers, isComparedFromStart: true });
}

function usualIn(
  plain: Context,
  {
    failing,
    closed,
    isComparedFromStart,
  }: { readonly failing: boolean; readonly closed: Cuts["closed"]; readonly isComparedFromStart: boolean },
): Usual {
  const { world, graph } = plain.model;
  const { span } = world.system;
  const found = { checks: new Map(), waits: new Map(), stuck: new Map() };
  const failable = looksOf(plain).all.filter(({ kind }) => kind === "check");
  const isLimited = graph.probes.some(({ kind, step }) => kind === "if-not" && step?.kind === "wait-for");
  const canStick = isComparedFromStart && graph.probes.some(({ kind }) => kind === "stuck");
  if (failable.length === 0 && !isLimited && !canStick)
    return { ...found, possible: { kind: "constant", value: true, span } };
  const context = { ...plain, whole: sliceOf(plain, []) };
  const search = cutSearch(context, { at: new Map(), closed }, []).run();
  const { space } = search;
  const moved = movedIn(plain.procedure, world, failing);
  const isStill = (thing: string) => !moved.has(thing);
  const standing = (states: Ref, counts: (thing: string) => boolean) =>
    conditionOf(space, space.forget(states, forgotten(search, counts)), world);
  const add = (to: Map<string, Condition>, step: Step, states: Ref, counts = isStill) => {
    if (states === EMPTY) return;
    const before = to.get(step.name);
    const where = standing(states, counts);
    to.set(step.name, before ? { kind: "or", of: [before, where], span: step.span } : where);
  };
  const matters = (step: Step) => {
    const things = waitedFor(world, step);
    return (thing: string) => things.has(thing);
  };
  for (const { step, edge, wrong } of failable)
    add(found.checks, step, space.bdd.and(search.momentsOf(edge), space.set(wrong)));
  for (const [{ step }, states] of neverInTime(context, search))
    if (step) add(found.waits, step, states, matters(step));
  if (canStick)
    for (const { step, states } of stuckStates(context, search)) add(found.stuck, step, states, matters(step));
  const always: Condition = { kind: "constant", value: true, span };
  return { ...found, possible: isComparedFromStart ? standing(search.start, isStill) : always };
}

/** Where what is seen at the step tells nothing. */
export function usualAt(usual: Usual, what: "checks" | "waits" | "stuck", { name, span }: Step): Condition {
  const same: Condition = usual[what].get(name) ?? { kind: "constant", value: false, span };
  if (what !== "checks") return same;
  return { kind: "or", of: [same, { kind: "not", of: usual.possible, span }], span };
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

function waitedFor({ system }: World, step: Step): ReadonlySet<string> {
  const condition = step.kind === "wait-for" ? step.condition : step.kind === "repeat" ? step.until : undefined;
  return condition ? dependsOn(system, condition) : new Set();
}

/** The variables of a search to be forgotten: all but those of things that count. */
function forgotten({ space }: Search, counts: (thing: string) => boolean): readonly Variable[] {
  return space.variables.filter(({ role }) => {
    if (role.kind !== "control" && role.kind !== "equipment" && role.kind !== "outside") return true;
    return !counts(role.thing);
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
