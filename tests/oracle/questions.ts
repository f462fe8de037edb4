import type { Condition } from "../../src/program/condition.js";
import type { Step } from "../../src/program/procedure.js";
import type { Rule } from "../../src/program/rule.js";
import type { Duty } from "../../src/program/system.js";
import { doneNamed } from "./text.js";
import type { Config, Moment, Monitor, Question } from "./walk.js";
import { holds, isFitted, isLit, type State, type World } from "./world.js";

/** Asks nothing: every run is walked to its end. */
export const noQuestion: Question = { start: () => [], moment: (monitor) => monitor };

/** True at moment 0 already: what the last crew left can break the rule before anything is done. */
export function alreadySo(world: World, rule: Rule, start: State): boolean {
  if (!opensAt(world, rule, undefined, start)) return false;
  const { form } = rule;
  const is = (c: Condition) => holds(world, start, c);
  switch (form.kind) {
    case "never":
      return is(form.condition);
    case "always":
      return !is(form.condition);
    case "when":
    case "while":
    case "before":
      return is(form.trigger) && !is(form.condition);
    default:
      return false;
  }
}

/** The scope opens: `only-after` rises, or holds at moment 0; without it, at 0. Unless `only-until` holds. */
function opensAt(world: World, rule: Rule, before: State | undefined, now: State): boolean {
  const { onlyAfter, onlyUntil } = rule.scope;
  if (onlyUntil && holds(world, now, onlyUntil)) return false;
  if (!onlyAfter) return before === undefined;
  return holds(world, now, onlyAfter) && (before === undefined || !holds(world, before, onlyAfter));
}

/**
 * A rule, as the table of forms has it. The monitor: whether the scope is open; whether what must rise held at the last
 * moment; a count (at-most), a "P has held" (before) or "pending" (after); and the times spent since, by lane.
 */
export function ruleQuestion(world: World, rule: Rule): Question {
  const { form } = rule;
  const timed = form.kind === "after" && form.within !== undefined;
  const deadline = form.kind === "after" ? form.deadline : undefined;
  const question: Question = {
    start: (state) => {
      const open = opensAt(world, rule, undefined, state);
      if (!open) return [0, 0, 0];
      const risen = inside(world, rule, state);
      if (form.kind === "before") return [1, risen ? 1 : 0, holds(world, state, form.condition) ? 1 : 0];
      if (form.kind === "after") {
        const owed = risen && !holds(world, state, form.condition);
        return [1, risen ? 1 : 0, owed ? 1 : 0, ...(timed && owed ? [0] : [])];
      }
      return [1, risen ? 1 : 0, 0];
    },
    moment: (monitor, moment) => step(world, rule, monitor, moment),
  };
  if (form.kind === "after")
    question.ended = (monitor, config) => {
      if (monitor[2] !== 1) return undefined;
      if (timed && monitor.slice(3).some((sum) => (sum as number) > form.within!)) return "broken";
      if (deadline !== "end") return undefined;
      return config.end!.how === "good" && !config.fresh ? undefined : "broken";
    };
  if (timed && form.kind === "after")
    question.silently = (monitor, elapsed, lane, lanes) => {
      if (monitor[2] !== 1) return monitor;
      const own = Array.from({ length: lane === 0 ? 1 : lanes }, (_, index) => (index === lane ? elapsed : 0));
      const spent = spend(monitor, own);
      return elapsed > 0 && lane === 0 && monitor.length === 4 && isLate(spent, form.within!) ? "broken" : spent;
    };
  return question;
}

/** What must rise: P of `never`, not P of `always`, `Q and not P` of `while`, else Q. */
function inside(world: World, rule: Rule, now: State): boolean {
  const { form } = rule;
  const is = (c: Condition) => holds(world, now, c);
  switch (form.kind) {
    case "never":
      return is(form.condition);
    case "always":
      return !is(form.condition);
    case "while":
      return is(form.trigger) && !is(form.condition);
    case "when":
    case "before":
    case "at-most":
      return is(form.trigger);
    case "after":
      return !form.trigger || is(form.trigger);
  }
}

function step(world: World, rule: Rule, monitor: Monitor, moment: Moment): Monitor | "broken" {
  const { form } = rule;
  const { before, now } = moment;
  const wasOpen = monitor[0] === 1;
  const closes = rule.scope.onlyUntil !== undefined && holds(world, now, rule.scope.onlyUntil);
  const opens = !wasOpen && opensAt(world, rule, before, now);
  const open = opens || (wasOpen && !closes);
  const pending = wasOpen && form.kind === "after" && monitor[2] === 1;
  if (!open) {
    if (wasOpen && pending && form.kind === "after" && !holds(world, now, form.condition)) return "broken";
    return [0, 0, 0];
  }
  const q = inside(world, rule, now);
  const rises = q && (opens || monitor[1] === 0);
  const memory = opens ? 0 : (monitor[2] as number);
  switch (form.kind) {
    case "never":
    case "always":
    case "while":
      return rises ? "broken" : [1, q ? 1 : 0, 0];
    case "when":
      return rises && !holds(world, now, form.condition, { timedAt: before }) ? "broken" : [1, q ? 1 : 0, 0];
    case "before": {
      const held = memory === 1 || holds(world, now, form.condition);
      return rises && !held ? "broken" : [1, q ? 1 : 0, held ? 1 : 0];
    }
    case "at-most": {
      const count = memory + (rises ? 1 : 0);
      return count > form.times ? "broken" : [1, q ? 1 : 0, count];
    }
    case "after": {
      const p = holds(world, now, form.condition);
      const isDue = (c: Condition) => holds(world, now, c) && !holds(world, before, c);
      const due = form.deadline !== "end" && isDue(form.deadline);
      if (due && !p && pending) return "broken";
      const spent = pending
        ? spend(waitsForOther(moment) ? levelled(monitor, moment.lane) : monitor, moment.elapsed)
        : monitor;
      if (form.within !== undefined && pending && isLate(spent, form.within, p ? moment : undefined)) return "broken";
      if (p) return [1, q ? 1 : 0, 0];
      if (rises) return [1, q ? 1 : 0, 1, ...(form.within === undefined ? [] : [0])];
      if (due || !pending) return [1, q ? 1 : 0, 0];
      return [1, q ? 1 : 0, 1, ...spent.slice(3)];
    }
  }
}

/** Adds up stated times, lane by lane, the first for the main line; where lanes have joined, the larger counts. A pause states none. */
function spend(monitor: Monitor, elapsed: readonly number[]): Monitor {
  if (elapsed.length === 0) return monitor;
  const spent = monitor.slice(3) as number[];
  const lanes = Math.max(1, elapsed.length);
  const main = lanes === 1 ? Math.max(0, ...spent) : (spent[0] ?? 0);
  const sums = Array.from(
    { length: lanes },
    (_, lane) => (lane === 0 ? main : (spent[lane] ?? main)) + (elapsed[lane] ?? 0),
  );
  return [...monitor.slice(0, 3), ...sums];
}

/** Where one lane waited for what the other does, the larger sum counts for it from then on. */
function levelled(monitor: Monitor, lane: number): Monitor {
  const sums = monitor.slice(3) as number[];
  return [...monitor.slice(0, 3), ...sums.map((sum, index) => (index === lane ? Math.max(...sums) : sum))];
}

function waitsForOther({ step, by, lane, passes }: Moment): boolean {
  if (step?.kind !== "wait-for" || by !== "act" || lane === 0 || !passes) return false;
  return doneNamed(step.condition).length > 0;
}

/**
 * Too late by the sum of the main line, what comes with its last step included. In lanes by all of their sums, or by the sum of the lane that does what was owed: the
 * other may have gone on as slowly as it likes.
 */
function isLate(monitor: Monitor, limit: number, kept?: Moment): boolean {
  const [main, ...lanes] = monitor.slice(3) as number[];
  if (lanes.length === 0) return main! > limit;
  const own = kept?.by === "act" && kept.lane > 0 ? lanes[kept.lane - 1]! : 0;
  return own > limit || lanes.every((sum) => sum > limit);
}

/** From the moment after it is borne in mind, the condition must not become true; `only-until` lifts it. */
export function prohibitQuestion(world: World, prohibit: Step): Question {
  if (prohibit.kind !== "prohibit") throw new Error("not a prohibition");
  const lifted = (state: State) => prohibit.until !== undefined && holds(world, state, prohibit.until);
  return {
    start: () => [0],
    borne: (monitor, state, step) => (step === prohibit ? [lifted(state) ? 0 : 1] : monitor),
    moment: (monitor, { before, now }) => {
      if (monitor[0] !== 1) return monitor;
      if (lifted(now)) return [0];
      return holds(world, now, prohibit.condition) && !holds(world, before, prohibit.condition) ? "broken" : monitor;
    },
  };
}

/** On every path to a good end some `observe` outside an `if-not` has watched the light while lit (or out). */
export function coverQuestion(world: World, id: string, wanted: "lit" | "out"): Question {
  const light = world.system.lights.get(id)!;
  return {
    start: () => [isFitted(world.tail, light) ? 0 : 1],
    moment: (monitor) => monitor,
    observed: (monitor, state, step, aside) => {
      if (step.kind !== "observe" || aside || !step.lights.includes(id)) return monitor;
      const logic = light.litWhen !== undefined || light.flashingWhen !== undefined;
      const listed = step.lit.some((each) => each.light === id && (!each.when || holds(world, state, each.when)));
      return (logic ? isLit(world, state, light) : listed) === (wanted === "lit") ? [1] : monitor;
    },
    ended: (monitor, config: Config) => (config.end!.how === "good" && monitor[0] === 0 ? "broken" : undefined),
  };
}

/** One of the three rules of a sprung position. The monitor: times taken, the lane that holds it (-1: none), rest, time inside. */
export function dutyQuestion(
  world: World,
  control: string,
  position: string,
  duty: Duty,
  which: "on" | "rest" | "tries",
): Question {
  const variable = world.index.get(`control:${control}`)!;
  const place = world.variables[variable]!.domain.indexOf(position);
  const limit = duty[which]!;
  type Held = [taken: number, lane: number, rest: number, inside: number];
  /** What is held up to a time inside may take that long. */
  const heldInside = (monitor: Held, { step, lane }: Moment, first: number): Monitor | "broken" => {
    const [taken, by, rest, inside] = monitor;
    if (by !== lane || step?.kind !== "hold" || !step.for?.upTo) return monitor;
    if (world.index.get(`control:${step.moves[0]?.controls[0]}`) !== first) return monitor;
    const on = inside + step.for.milliseconds;
    return on > limit ? "broken" : [taken, by, rest, on];
  };
  return {
    start: () => [0, -1, 0, 0],
    moment: (monitor, moment) => {
      const [taken, lane, rest, inside] = monitor as Held;
      const on = inside + (lane >= 0 ? (moment.elapsed[lane] ?? 0) : 0);
      if (which === "on" && lane >= 0 && on > limit) return "broken";
      const tick = moment.by === "tick" ? world.tick : 0;
      const rested = which === "rest" && lane < 0 && taken > 0 ? Math.min(limit, rest + tick) : rest;
      return [taken, lane, rested, which === "on" ? on : 0];
    },
    silently: (monitor, elapsed, by) => {
      const [taken, lane, rest, inside] = monitor as Held;
      if (which !== "on" || lane !== by) return monitor;
      return inside + elapsed > limit ? "broken" : [taken, lane, rest, inside + elapsed];
    },
    taken: (monitor, moment, which_, to) => {
      if (which_ !== variable || to !== place)
        return which === "on" ? heldInside(monitor as Held, moment, which_) : monitor;
      const [taken, , rest] = monitor as Held;
      if (which === "tries" && taken + 1 > limit) return "broken";
      if (which === "rest" && taken > 0 && rest < limit) return "broken";
      const stated = moment.step?.kind === "hold" ? moment.step.for?.milliseconds : undefined;
      if (which === "on" && stated !== undefined && stated > limit) return "broken";
      const counted = which === "on" && stated !== undefined ? -1 : moment.lane;
      return [which === "tries" ? taken + 1 : 1, counted, 0, 0];
    },
    released: (monitor, which_) => (which_ === variable ? [monitor[0]!, -1, 0, 0] : monitor),
  };
}
