import type { Condition } from "../../src/program/condition.js";
import type { Procedure, Step } from "../../src/program/procedure.js";
import type { Program } from "../../src/program/program.js";
import type { Tail } from "../../src/program/system.js";
import { type Explored, explore } from "../oracle/explore.js";
import { lateWaits, stuckLoops, stuckWaits } from "../oracle/liveness.js";
import { noQuestion } from "../oracle/questions.js";
import { everyStep, within } from "../oracle/text.js";
import { type Moment, type Question, Walker } from "../oracle/walk.js";
import { buildWorld, holds, isFitted, isLit, type State, type World } from "../oracle/world.js";

/** What a run can show where all is well: checks that fail and limits that run out for good, by step and by what never moves. */
export interface Usual {
  readonly checks: ReadonlySet<string>;
  readonly waits: ReadonlySet<string>;
  /** Waits and loops that never end. */
  readonly stuck: ReadonlySet<string>;
  /** How what no run moves can stand: with a fault it may stand otherwise, and then nothing can be compared. */
  readonly possible: ReadonlySet<string>;
  /** Variables of the world that no run moves. */
  readonly still: readonly number[];
}

/** By walking through every run of the procedure as it stands. */
export function usualIn(
  program: Program,
  procedure: Procedure,
  tail: Tail,
  limit: number,
  { mayFail }: { readonly mayFail: boolean } = { mayFail: false },
): Usual {
  const world = buildWorld(program, procedure, tail);
  const still = stillIn(world, mayFail);
  const checks = new Set<string>();
  const question: Question = {
    start: () => [],
    moment: (monitor, { by, step, now }) => {
      if (by === "act" && step?.kind === "check" && failsCheck(world, step, now)) checks.add(placeOf(step, now, still));
      return monitor;
    },
  };
  const explored = explore(world, question, limit);
  const places = (found: readonly { id: number; step: Step }[]) =>
    new Set(found.map(({ id, step }) => placeOf(step, explored.configs[id]!.state, still)));
  const possible = new Set(explored.configs.map(({ state }) => standing(state, still)));
  const [waits, stuck] = [lateWaits(explored, new Set()), stuckIn(explored, new Set())].map(places);
  return { checks, waits: waits!, stuck: stuck!, possible, still };
}

/** Waits without a limit, and loops, that nothing ends. */
export function stuckIn(explored: Explored, cutShort: ReadonlySet<number>): readonly { id: number; step: Step }[] {
  const waits = [...stuckWaits(explored, cutShort)].flatMap(([id, steps]) =>
    [...steps.values()].flatMap((step) => (step.kind === "wait-for" ? [{ id, step }] : [])),
  );
  return [...waits, ...stuckLoops(explored)];
}

/** What is seen at the step in the state is not so where all is well and the same things stand the same. */
export function isTelling(usual: Usual, what: "checks" | "waits" | "stuck", step: Step, state: State): boolean {
  return usual.possible.has(standing(state, usual.still)) && !usual[what].has(placeOf(step, state, usual.still));
}

/** The step, with where the things stand that no run moves. */
function placeOf({ name }: Step, state: State, still: readonly number[]): string {
  return `${name} ${standing(state, still)}`;
}

function standing({ values }: State, still: readonly number[]): string {
  return still.map((variable) => values[variable]).join();
}

/** Controls, things outside and equipment that neither a line nor a change moves. A guard and what is under it go together. */
function stillIn(world: World, mayFail: boolean): readonly number[] {
  const moved = new Set<number>([...world.immediate.keys(), ...world.delayed.map(({ variable }) => variable)]);
  const move = (thing: string) => {
    const variable = world.index.get(thing)!;
    moved.add(variable);
    const guard = world.guardOf.get(variable);
    if (guard !== undefined) moved.add(guard);
    const over = world.guards.get(variable)?.over;
    if (over !== undefined) moved.add(over);
  };
  if (mayFail)
    for (const { id, changes } of world.system.equipment.values())
      if (changes.some(({ anytime }) => anytime)) moved.add(world.index.get(`equipment:${id}`)!);
  for (const step of everyStep(world.procedure.steps)) {
    if (step.kind === "ask") move(`outside:${step.outside}`);
    if ("moves" in step && step.kind !== "repeat")
      for (const one of step.moves) for (const id of one.controls) move(`control:${id}`);
  }
  return world.variables.flatMap((_, variable) => (moved.has(variable) ? [] : [variable]));
}

/** A look that tells that something is wrong: lights other than listed, or a check that fails and does not where all is well. */
export function tells(world: World, usual: Usual, { by, step, now }: Moment): boolean {
  if (by !== "act" || !step) return false;
  if (step.kind === "observe") return isWrongList(world, step, now);
  if (step.kind !== "check" || !failsCheck(world, step, now)) return false;
  return isOfLightsAlone(world, step.condition) || isTelling(usual, "checks", step, now);
}

/** A check fails, time aside: that is the crew's to keep. What a light without logic reads is nobody's to say. */
export function failsCheck(world: World, step: Extract<Step, { kind: "check" }>, now: State): boolean {
  const untimed = withoutTimes(step.condition);
  for (const part of within(untimed)) {
    const light = part.kind === "light" ? world.system.lights.get(part.light)! : undefined;
    if (light && !light.litWhen && !light.flashingWhen) return false;
  }
  return !holds(world, now, untimed);
}

function withoutTimes(c: Condition): Condition {
  if (c.kind === "for") return c.of;
  return c.kind === "and" || c.kind === "or" ? { ...c, of: c.of.map(withoutTimes) } : c;
}

export function isWrongList(world: World, step: Extract<Step, { kind: "observe" }>, now: State): boolean {
  return step.lights.some((id) => {
    const light = world.system.lights.get(id)!;
    if (!isFitted(world.tail, light) || (!light.litWhen && !light.flashingWhen)) return false;
    const listed = step.lit.some((each) => each.light === id && (!each.when || holds(world, now, each.when)));
    return isLit(world, now, light) !== listed;
  });
}

export function isOfLightsAlone(world: World, c: Condition): boolean {
  return new Walker(world, noQuestion, undefined).lightsAlone(c);
}
