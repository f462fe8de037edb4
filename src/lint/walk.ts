import { unreachable } from "../invariant.js";
import type { Condition } from "../program/condition.js";
import type { Step } from "../program/procedure.js";

/** The lists of steps inside a step, in written order. A performed procedure has none here: it is looked at on its own. */
export function listsInside(step: Step): readonly (readonly Step[])[] {
  switch (step.kind) {
    case "check":
    case "watch":
      return [step.ifNot];
    case "observe":
      return step.ifNot.map((branch) => branch.steps);
    case "hold":
    case "repeat":
    case "section":
    case "memory":
      return [step.steps];
    case "wait-for":
      return [step.steps, step.ifNot];
    case "if":
      return [step.then, step.else];
    case "decide":
      return step.ways.map((way) => way.steps);
    case "choose":
      return step.options.map((option) => option.steps);
    case "together":
      return step.lanes.map((lane) => lane.steps);
    case "perform":
      return step.target.kind === "part" ? [step.steps] : [];
    case "set":
    case "verify":
    case "press":
    case "wait":
    case "ask":
    case "go-to":
    case "finish":
    case "set-aside":
    case "pause":
    case "prohibit":
    case "record":
    case "sign":
    case "say":
    case "do":
      return [];
    default:
      return unreachable(step);
  }
}

/** A list and every list within it, each once as written: a part performed twice is one piece of text. */
export function everyList(steps: readonly Step[]): readonly (readonly Step[])[] {
  const found = new Map<number, readonly Step[]>();
  collectLists(steps, found);
  return [...found.values()];
}

/** Every step, outer before inner, in written order, each once as written. */
export function everyStep(steps: readonly Step[]): readonly Step[] {
  const found = new Map<number, Step>();
  collectSteps(steps, found);
  return [...found.values()];
}

/** The steps of a list without the copies that `for-each` made of one. */
export function asWritten(steps: readonly Step[]): readonly Step[] {
  return steps.filter((step, index) => steps.findIndex((other) => other.span.start === step.span.start) === index);
}

/** How many lines the step is on a card, what is inside it aside: a list of controls is a line for each. */
export function linesOf(step: Step): number {
  return (step.kind === "set" || step.kind === "verify") && !step.atOnce ? step.moves.length : 1;
}

/** The conditions that a person has to judge at this step. */
export function judgedAt(step: Step): readonly Condition[] {
  switch (step.kind) {
    case "check":
    case "wait-for":
    case "if":
    case "watch":
      return [step.condition];
    case "decide":
      return step.ways.flatMap((way) => (way.condition ? [way.condition] : []));
    case "repeat":
      return step.until ? [step.until] : [];
    default:
      return [];
  }
}

function collectLists(steps: readonly Step[], found: Map<number, readonly Step[]>): void {
  const first = steps[0];
  if (!first || found.has(first.span.start)) return;
  found.set(first.span.start, asWritten(steps));
  for (const step of steps) for (const list of listsInside(step)) collectLists(list, found);
}

function collectSteps(steps: readonly Step[], found: Map<number, Step>): void {
  for (const step of steps) {
    if (!found.has(step.span.start)) found.set(step.span.start, step);
    for (const list of listsInside(step)) collectSteps(list, found);
  }
}
