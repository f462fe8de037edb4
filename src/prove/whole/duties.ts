import { type Finding, type FindingKind, finding } from "../../diagnostics/finding.js";
import { and, type Expression, equals, evaluate, not, type Variable } from "../../machine/expression.js";
import { assign, type Case, choose } from "../../machine/operation.js";
import { EMPTY } from "../../machine/symbolic/bdd.js";
import type { Search } from "../../machine/symbolic/search.js";
import type { Monitor } from "../../machine/transitions.js";
import { advance } from "../../machine/world/dynamics.js";
import { inputsOf } from "../../machine/world/memory.js";
import { range } from "../../machine/world/world.js";
import type { Move, Step } from "../../program/procedure.js";
import type { Control, Duty } from "../../program/system.js";
import { ask } from "../answer.js";
import type { Context } from "../context.js";
import { DUTY_ON, DUTY_REST, DUTY_TRIES, UNPROVED } from "../kinds.js";
import { isSameLine } from "../own.js";
import { blameOf } from "../path.js";
import { storyOf } from "../story.js";
import { durationOf, nameOf, placardOf } from "../words.js";

/** The limits of sprung positions: for how long, with what rest, how often. */
export function proveDuties(context: Context, search: Search): readonly Finding[] {
  const { world } = context.model;
  return [...world.system.controls.values()].flatMap((control) => {
    const { duty } = control;
    const variable = world.control(control.id);
    if (!duty || !variable) return [];
    return [...control.springs.keys()].flatMap((position) => {
      const taken = equals(variable, world.valueOf(control.id, position));
      return [
        ...(duty.on === undefined ? [] : tooLong(context, search, control, position, duty.on)),
        ...(duty.rest === undefined
          ? []
          : limit(
              context,
              control,
              position,
              duty,
              DUTY_REST,
              restMonitor(context, control, position, taken, duty.rest),
            )),
        ...(duty.tries === undefined
          ? []
          : limit(
              context,
              control,
              position,
              duty,
              DUTY_TRIES,
              triesMonitor(context, control, position, taken, duty.tries),
            )),
      ];
    });
  });
}

/** For each control the limits of its sprung positions that are asked of moments: rest, and how often. */
export function dutyMonitors(context: Context): readonly { readonly control: string; readonly monitor: Monitor }[] {
  const { world } = context.model;
  return [...world.system.controls.values()].flatMap((control) => {
    const { duty, id } = control;
    const variable = world.control(id);
    if (!duty || !variable) return [];
    return [...control.springs.keys()].flatMap((position) => {
      const taken = equals(variable, world.valueOf(id, position));
      const rest = duty.rest === undefined ? [] : [restMonitor(context, control, position, taken, duty.rest)];
      const tries = duty.tries === undefined ? [] : [triesMonitor(context, control, position, taken, duty.tries)];
      return [...rest, ...tries].map((monitor) => ({ control: id, monitor }));
    });
  });
}

function limit(
  context: Context,
  control: Control,
  position: string,
  duty: Duty,
  kind: FindingKind,
  monitor: Monitor,
): readonly Finding[] {
  const { system } = context.model.world;
  const answer = ask(context, { monitors: [monitor], atPlace: new Map(), names: [monitor.broken] });
  if (answer.verdict === "holds") return [];
  const name = `${nameOf(system, control.id)} at ${placardOf(system, control.id, position)}`;
  const subject = { procedure: context.procedure.id, thing: control.id };
  const unproved = finding(UNPROVED, duty.span, `unproved: the duty of ${name}`, { subject });
  if (answer.verdict === "unproved") return [unproved];
  const story = storyOf(answer.search, answer.path, {
    isWrong: (state) => evaluate(monitor.broken, state),
    relevant: answer.relevant,
  });
  const blamed = blameOf(answer.path);
  if (!story || !blamed) return [unproved];
  const message =
    kind === DUTY_REST
      ? `${name} can be taken again before its rest of ${durationOf(duty.rest ?? 0)} is over`
      : `${name} can be taken more than ${duty.tries} times`;
  const help =
    kind === DUTY_REST
      ? [`put \`wait: ${durationOf(duty.rest ?? 0)}\` before it`]
      : [`set the card aside after ${duty.tries}, or bound the repetition with \`times\``];
  return [
    finding(kind, blamed.verb, message, {
      labels: [{ at: duty.span, text: "its duty" }],
      help,
      story: story.lines,
      moments: answer.path.moments,
      subject: { ...subject, step: blamed.name },
    }),
  ];
}

/** Rested until first taken; then the clock runs from each letting go. */
function restMonitor(context: Context, control: Control, position: string, taken: Expression, rest: number): Monitor {
  const { world } = context.model;
  const clock = world.variable(`rest of ${control.id} ${position}`, world.ticks(rest) + 1, { kind: "memory" });
  const was = world.variable(`before taken ${control.id} ${position}`, 2, { kind: "before" });
  const full = clock.size - 1;
  return {
    ...watching(control, taken, was),
    variables: [clock],
    after: [choose({ when: and(not(taken), equals(was, 1)), assign: [{ variable: clock, value: 0 }] })],
    start: [assign(clock, full)],
    broken: and(taken, equals(was, 0), not(equals(clock, full))),
    ticks: [advance(clock, not(taken))],
  };
}

function triesMonitor(context: Context, control: Control, position: string, taken: Expression, tries: number): Monitor {
  const { world } = context.model;
  const count = world.variable(`tries of ${control.id} ${position}`, tries + 1, { kind: "memory" });
  const was = world.variable(`before taken ${control.id} ${position}`, 2, { kind: "before" });
  const rises = and(taken, equals(was, 0));
  const cases: readonly Case[] = range(0, tries - 1).map((value) => ({
    when: and(rises, equals(count, value)),
    assign: [{ variable: count, value: value + 1 }],
  }));
  return {
    ...watching(control, taken, was),
    variables: [count],
    after: [choose(...cases)],
    start: [assign(count, 0)],
    broken: and(rises, equals(count, tries)),
  };
}

function watching(
  control: Control,
  taken: Expression,
  was: Variable,
): Pick<Monitor, "name" | "inputs" | "before" | "scratch"> {
  return {
    name: `duty of ${control.id}`,
    inputs: inputsOf(taken),
    before: [{ kind: "remember", variable: was, truth: taken }],
    scratch: [was],
  };
}

/** Held no longer at a time than its duty: by `for` where given, else by the stated times of what is inside. */
function tooLong(context: Context, search: Search, control: Control, position: string, on: number): readonly Finding[] {
  const { system } = context.model.world;
  const held = new Set(
    context.model.graph.edges.flatMap((edge) =>
      edge.act.kind === "set" && edge.act.how === "hold" && search.momentsOf(edge) !== EMPTY ? [edge.step] : [],
    ),
  );
  const holds = [...context.model.graph.entries.keys()].flatMap((step) =>
    step.kind === "hold" && held.has(step) && step.moves.some((move) => holdsIt(move, control, position)) ? [step] : [],
  );
  const lines = holds.filter((step, index) => holds.findIndex((one) => isSameLine(one, step)) === index);
  return lines.flatMap((step) => {
    const time = step.for ? step.for.milliseconds : statedTime(step.steps);
    if (time <= on) return [];
    const name = `${nameOf(system, control.id)} at ${placardOf(system, control.id, position)}`;
    const long = Number.isFinite(time) ? `for ${durationOf(time)}` : "without a bound";
    return [
      finding(DUTY_ON, step.verb, `${name} can be held ${long}, and its duty allows ${durationOf(on)}`, {
        labels: control.duty ? [{ at: control.duty.span, text: "its duty" }] : [],
        help: [
          step.for
            ? `hold it for ${durationOf(on)} at the most`
            : `say for how long at the most: \`for: up to ${durationOf(on)}\`, or shorten what is done meanwhile`,
        ],
        subject: { procedure: context.procedure.id, step: step.name, thing: control.id },
      }),
    ];
  });
}

function holdsIt(move: Move, control: Control, position: string): boolean {
  return move.controls.includes(control.id) && move.position === position;
}

/** The longest stated time of some steps, in milliseconds; infinite where a wait has no bound. */
export function statedTime(steps: readonly Step[]): number {
  return steps.reduce((sum, step) => sum + statedTimeOf(step), 0);
}

function statedTimeOf(step: Step): number {
  const longest = (...lists: readonly (readonly Step[])[]) => Math.max(0, ...lists.map(statedTime));
  switch (step.kind) {
    case "wait":
      return step.milliseconds;
    case "wait-for":
      return (step.within ?? Number.POSITIVE_INFINITY) + longest(step.ifNot);
    case "hold":
      return step.takes + (step.for ? step.for.milliseconds : statedTime(step.steps));
    case "check":
      return step.takes + longest(step.ifNot);
    case "observe":
      return step.takes + longest(...step.ifNot.map((branch) => branch.steps));
    case "if":
      return step.takes + longest(step.then, step.else);
    case "decide":
      return step.takes + longest(...step.ways.map((way) => way.steps));
    case "choose":
      return longest(...step.options.map((option) => option.steps));
    case "repeat": {
      const round = statedTime(step.steps) + (step.every ?? 0);
      return step.times === undefined ? (round > 0 ? Number.POSITIVE_INFINITY : 0) : round * step.times;
    }
    case "together":
      return longest(...step.lanes.map((lane) => lane.steps));
    case "perform":
    case "section":
    case "memory":
      return statedTime(step.steps);
    case "set-aside":
    case "finish":
    case "go-to":
      return 0;
    default:
      return step.takes;
  }
}
