import type { Step } from "../../program/procedure.js";

/** Every step of a list with all that hang from it, in reading order. */
export function everyStep(steps: readonly Step[]): readonly Step[] {
  return steps.flatMap((step) => [step, ...everyStep(innerSteps(step))]);
}

function innerSteps(step: Step): readonly Step[] {
  switch (step.kind) {
    case "check":
    case "watch":
      return step.ifNot;
    case "observe":
      return step.ifNot.flatMap((way) => way.steps);
    case "wait-for":
      return [...step.steps, ...step.ifNot];
    case "if":
      return [...step.then, ...step.else];
    case "decide":
      return step.ways.flatMap((way) => way.steps);
    case "choose":
      return step.options.flatMap((option) => option.steps);
    case "together":
      return step.lanes.flatMap((lane) => lane.steps);
    case "hold":
    case "repeat":
    case "perform":
    case "section":
    case "memory":
      return step.steps;
    default:
      return [];
  }
}
