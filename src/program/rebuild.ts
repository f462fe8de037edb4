import type { Step } from "./procedure.js";

/** The same step with each list of steps inside it made anew; the lists in written order, as `innerSteps` gives them. */
export function withInner(step: Step, change: (steps: readonly Step[]) => readonly Step[]): Step {
  switch (step.kind) {
    case "check":
    case "watch":
      return { ...step, ifNot: change(step.ifNot) };
    case "observe":
      return { ...step, ifNot: step.ifNot.map((branch) => ({ ...branch, steps: change(branch.steps) })) };
    case "wait-for":
      return { ...step, steps: change(step.steps), ifNot: change(step.ifNot) };
    case "if": {
      const [then, otherwise] = [change(step.then), change(step.else)];
      return { ...step, then, else: otherwise };
    }
    case "decide":
      return { ...step, ways: step.ways.map((way) => ({ ...way, steps: change(way.steps) })) };
    case "choose":
      return { ...step, options: step.options.map((option) => ({ ...option, steps: change(option.steps) })) };
    case "together":
      return { ...step, lanes: step.lanes.map((lane) => ({ ...lane, steps: change(lane.steps) })) };
    case "hold":
    case "repeat":
    case "perform":
    case "section":
    case "memory":
      return { ...step, steps: change(step.steps) };
    default:
      return step;
  }
}

/**
 * The steps without those that `leavesOut` names, and what is inside them. A list that had steps and has none left keeps a
 * line that does nothing, since a loop or a lane needs one.
 */
export function withoutSteps(steps: readonly Step[], leavesOut: (step: Step) => boolean): readonly Step[] {
  const left = steps
    .filter((step) => !leavesOut(step))
    .map((step) => withInner(step, (inner) => withoutSteps(inner, leavesOut)));
  const [first] = steps;
  return left.length === 0 && first ? [nothing(first)] : left;
}

/** A line at the place of another that does nothing, and is not it: nobody can ask if it is done. */
function nothing({ number, span, verb, by, takes }: Step): Step {
  const name = `nothing at ${span.start}`;
  return { kind: "do", text: "", name, number, span, verb, by, takes, critical: false };
}
