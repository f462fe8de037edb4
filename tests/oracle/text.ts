import type { Condition } from "../../src/program/condition.js";
import type { Step } from "../../src/program/procedure.js";
import type { Rule } from "../../src/program/rule.js";

/** Two conditions are spelled alike exactly when they say the same in the same words; places in the text aside. */
export function spell(c: Condition): string {
  switch (c.kind) {
    case "constant":
      return String(c.value);
    case "and":
    case "or":
      return `(${c.of.map(spell).join(c.kind === "and" ? " & " : " | ")})`;
    case "not":
      return `!${spell(c.of)}`;
    case "is":
      return `${c.of}:${c.thing}${c.negated ? "!=" : "="}${c.values.join("/")}`;
    case "fitted":
      return `fitted:${c.thing}`;
    case "light":
      return `light:${c.light}${c.negated ? "!=" : "="}${c.state}`;
    case "named":
      return `condition:${c.condition}`;
    case "compare":
      return `${spellTerm(c.left)}${c.operator}${spellTerm(c.right)}`;
    case "near":
      return `|${c.left}-${c.right}|<=${c.distance.value.numerator}/${c.distance.value.denominator}`;
    case "band":
      return `${c.gauge}${c.negated ? " outside " : " within "}${c.band}`;
    case "for":
      return `[${spell(c.of)}]for${c.milliseconds}`;
    case "checked":
      return `checked(${spell(c.of)})`;
    case "done":
      return `done:${c.step}`;
    case "recorded":
      return `recorded:${c.gauge}`;
  }
}

function spellTerm(term: Extract<Condition, { kind: "compare" }>["left"]): string {
  return term.kind === "gauge" ? term.gauge : `${term.value.value.numerator}/${term.value.value.denominator}`;
}

/** The condition and everything inside it; named conditions are not opened. */
export function* within(c: Condition): Generator<Condition> {
  yield c;
  if (c.kind === "and" || c.kind === "or") for (const part of c.of) yield* within(part);
  else if (c.kind === "not" || c.kind === "for" || c.kind === "checked") yield* within(c.of);
}

/** What a look at the condition looks at: a named condition is itself the thing. Things by kind and id. */
export function thingsNamed(c: Condition): string[] {
  const found: string[] = [];
  for (const atom of within(c)) {
    if (atom.kind === "is" && atom.of !== "fit") found.push(`${atom.of}:${atom.thing}`);
    else if (atom.kind === "light") found.push(`light:${atom.light}`);
    else if (atom.kind === "named") found.push(`condition:${atom.condition}`);
    else if (atom.kind === "band") found.push(`gauge:${atom.gauge}`);
    else if (atom.kind === "near") found.push(`gauge:${atom.left}`, `gauge:${atom.right}`);
    else if (atom.kind === "compare")
      for (const term of [atom.left, atom.right]) if (term.kind === "gauge") found.push(`gauge:${term.gauge}`);
  }
  return found;
}

/** The lists of steps inside a step, in the order of the text. The places in this list are the slots of the interpreter. */
export function blocksOf(step: Step): readonly (readonly Step[])[] {
  switch (step.kind) {
    case "check":
    case "watch":
      return [step.ifNot];
    case "observe":
      return step.ifNot.map((branch) => branch.steps);
    case "hold":
    case "repeat":
    case "perform":
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
    default:
      return [];
  }
}

/** Every step, in the order of the text, inner ones after the one that holds them. */
export function* everyStep(steps: readonly Step[]): Generator<Step> {
  for (const step of steps) {
    yield step;
    for (const block of blocksOf(step)) yield* everyStep(block);
  }
}

/** The conditions that a step itself carries; its inner steps' not. */
export function conditionsOfStep(step: Step): Condition[] {
  const found: Condition[] = [];
  if (step.needs) found.push(step.needs);
  if (step.applies) found.push(step.applies);
  if (step.kind === "check" || step.kind === "wait-for" || step.kind === "if" || step.kind === "watch")
    found.push(step.condition);
  if (step.kind === "repeat" && step.until) found.push(step.until);
  if (step.kind === "decide") for (const way of step.ways) if (way.condition) found.push(way.condition);
  if (step.kind === "observe") for (const light of step.lit) if (light.when) found.push(light.when);
  if (step.kind === "perform") found.push(...step.begins);
  if (step.kind === "prohibit") found.push(step.condition, ...(step.until ? [step.until] : []));
  return found;
}

export function conditionsOfRule(rule: Rule): Condition[] {
  const found: Condition[] = [];
  const form = rule.form;
  if (form.kind !== "at-most") found.push(form.condition);
  if ("trigger" in form && form.trigger) found.push(form.trigger);
  if (form.kind === "after" && form.deadline !== "end") found.push(form.deadline);
  if (rule.scope.onlyAfter) found.push(rule.scope.onlyAfter);
  if (rule.scope.onlyUntil) found.push(rule.scope.onlyUntil);
  return found;
}

/** The steps that a condition asks to be done, each as a thing. */
export function doneNamed(c: Condition): string[] {
  if (c.kind === "done") return [`done:${c.step}`];
  if (c.kind === "and" || c.kind === "or") return c.of.flatMap(doneNamed);
  return c.kind === "not" || c.kind === "for" || c.kind === "checked" ? doneNamed(c.of) : [];
}
