import type { Condition } from "../../src/program/condition.js";
import type { Procedure, Step } from "../../src/program/procedure.js";
import type { Program } from "../../src/program/program.js";
import type { System, Tail } from "../../src/program/system.js";
import { type Explored, explore } from "../oracle/explore.js";
import { lateWaits, stuckLoops, stuckWaits } from "../oracle/liveness.js";
import { noQuestion } from "../oracle/questions.js";
import { everyStep, thingsNamed, within } from "../oracle/text.js";
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
  readonly system: System;
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
    new Set(
      found.map(({ id, step }) => placeOf(step, explored.configs[id]!.state, causesOf(world.system, world, step))),
    );
  const possible = new Set(explored.configs.map(({ state }) => standing(state, still)));
  const [waits, stuck] = [lateWaits(explored, new Set()), stuckIn(explored, new Set())].map(places);
  return { checks, waits: waits!, stuck: stuck!, possible, system: world.system, still };
}

/** Waits without a limit, and loops, that nothing ends. */
export function stuckIn(explored: Explored, cutShort: ReadonlySet<number>): readonly { id: number; step: Step }[] {
  const waits = [...stuckWaits(explored, cutShort)].flatMap(([id, steps]) =>
    [...steps.values()].flatMap((step) => (step.kind === "wait-for" ? [{ id, step }] : [])),
  );
  return [...waits, ...stuckLoops(explored)];
}

/** What is seen at the step in the state is not so where all is well and the same things stand the same. */
export function tellsOfCheck(usual: Usual, step: Step, state: State): boolean {
  return usual.possible.has(standing(state, usual.still)) && !usual.checks.has(placeOf(step, state, usual.still));
}

/** The same of a wait or loop that never ends, where all that it depends on stands the same. */
export function tellsOfWait(
  world: World,
  usual: Usual,
  what: "waits" | "stuck",
  { id, step }: { readonly id: number; readonly step: Step },
  { configs }: Explored,
): boolean {
  return !usual[what].has(placeOf(step, configs[id]!.state, causesOf(usual.system, world, step)));
}

/** The variables on which the end of a wait or loop depends, through lights, conditions and changes. */
function causesOf(sound: System, { index }: World, step: Step): readonly number[] {
  const asked = step.kind === "wait-for" ? step.condition : step.kind === "repeat" ? step.until : undefined;
  const things = new Set(asked ? thingsNamed(asked) : []);
  const { lights, conditions, equipment, gauges, controls } = sound;
  for (const thing of things) {
    const id = thing.slice(thing.indexOf(":") + 1);
    const light = thing.startsWith("light:") ? lights.get(id) : undefined;
    const parts = [light?.litWhen, light?.flashingWhen, light?.latchedUntil, light?.cancelledBy];
    if (thing.startsWith("condition:")) parts.push(conditions.get(id)?.means);
    if (thing.startsWith("gauge:")) parts.push(gauges.get(id)?.moves);
    if (thing.startsWith("equipment:")) parts.push(...equipment.get(id)!.changes.map(({ when }) => when));
    for (const part of parts) if (part) for (const one of thingsNamed(part)) things.add(one);
    if (!thing.startsWith("control:")) continue;
    const control = controls.get(id)!;
    for (const other of [control.guard, control.guards?.control]) if (other) things.add(`control:${other}`);
  }
  return [...things].sort().flatMap((thing) => index.get(thing) ?? []);
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
  return isOfLightsAlone(world, step.condition) || tellsOfCheck(usual, step, now);
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
