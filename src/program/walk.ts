import type { Condition } from "./condition.js";
import type { Procedure, Step } from "./procedure.js";
import type { Rule } from "./rule.js";

/** The step lists inside a step, in written order. */
export function innerSteps(step: Step): readonly (readonly Step[])[] {
  switch (step.kind) {
    case "check":
    case "watch":
      return [step.ifNot];
    case "observe":
      return step.ifNot.map((branch) => branch.steps);
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
    case "hold":
    case "repeat":
    case "perform":
    case "section":
    case "memory":
      return [step.steps];
    default:
      return [];
  }
}

/** Every step of a list and inside it, outer before inner, in written order. */
export function* walkSteps(steps: readonly Step[]): Generator<Step> {
  for (const step of steps) {
    yield step;
    for (const inner of innerSteps(step)) yield* walkSteps(inner);
  }
}

/** The conditions that a step itself carries, `needs` first; not those of the steps inside it. */
export function conditionsOfStep(step: Step): readonly Condition[] {
  const own = step.needs ? [step.needs] : [];
  switch (step.kind) {
    case "check":
    case "watch":
    case "wait-for":
    case "if":
      return [...own, step.condition];
    case "prohibit":
      return [...own, step.condition, ...present(step.until)];
    case "observe":
      return [...own, ...step.lit.flatMap((light) => present(light.when))];
    case "decide":
      return [...own, ...step.ways.flatMap((way) => present(way.condition))];
    case "repeat":
      return [...own, ...present(step.until)];
    case "perform":
      return [...own, ...step.begins];
    default:
      return own;
  }
}

/** Every condition of a procedure: `begins`, `ends`, and those of its steps. */
export function conditionsOfProcedure(procedure: Procedure): readonly Condition[] {
  const ofSteps = [...walkSteps(procedure.steps)].flatMap(conditionsOfStep);
  return [...procedure.begins, ...procedure.ends, ...ofSteps];
}

/** Every condition of a rule, scope and fit included. */
export function conditionsOfRule(rule: Rule): readonly Condition[] {
  const scope = [...present(rule.scope.onlyAfter), ...present(rule.scope.onlyUntil), ...present(rule.applies)];
  const form = rule.form;
  switch (form.kind) {
    case "never":
    case "always":
      return [form.condition, ...scope];
    case "at-most":
      return [form.trigger, ...scope];
    case "after":
      return [form.condition, ...present(form.trigger), ...(form.deadline === "end" ? [] : [form.deadline]), ...scope];
    default:
      return [form.condition, form.trigger, ...scope];
  }
}

/** The condition and every condition inside it, outer first. Named conditions are not opened. */
export function* walkCondition(condition: Condition): Generator<Condition> {
  yield condition;
  switch (condition.kind) {
    case "and":
    case "or":
      for (const part of condition.of) yield* walkCondition(part);
      return;
    case "not":
    case "for":
    case "checked":
      yield* walkCondition(condition.of);
  }
}

function present<T>(value: T | undefined): readonly T[] {
  return value === undefined ? [] : [value];
}
