import type { ProcedureSpec, StepSpec, WorldSpec } from "./random-world.js";

/** The smallest spec that cutting reaches and that still fails; `fails` is false where a cut leaves no whole program. */
export function shrink(spec: WorldSpec, fails: (spec: WorldSpec) => boolean): WorldSpec {
  for (const smaller of cuts(spec)) if (fails(smaller)) return shrink(smaller, fails);
  return spec;
}

function* cuts(spec: WorldSpec): Generator<WorldSpec> {
  for (const [id, procedure] of Object.entries(spec.procedures)) {
    if (id !== "p") {
      const { [id]: _, ...rest } = spec.procedures;
      yield { ...spec, procedures: rest };
    }
    for (const smaller of cutsOfProcedure(procedure))
      yield { ...spec, procedures: { ...spec.procedures, [id]: smaller } };
  }
  for (const lines of without(spec.lines)) yield { ...spec, lines };
  for (const [index, line] of spec.lines.entries())
    for (const shorter of cutsOfText(line)) yield { ...spec, lines: spec.lines.with(index, shorter) };
}

function* cutsOfProcedure(procedure: ProcedureSpec): Generator<ProcedureSpec> {
  for (const steps of cutsOfSteps(procedure.steps)) yield { ...procedure, steps };
  for (const key of ["begins", "ends", "covers"] as const)
    for (const list of without(procedure[key])) yield { ...procedure, [key]: list };
  const { next: _, ...rest } = procedure;
  if (procedure.next) yield rest;
}

function* cutsOfSteps(steps: readonly StepSpec[]): Generator<readonly StepSpec[]> {
  yield* without(steps);
  for (const [index, step] of steps.entries()) {
    for (const list of step.lists ?? []) yield [...steps.slice(0, index), ...list, ...steps.slice(index + 1)];
    for (const smaller of cutsOfStep(step)) yield steps.with(index, smaller);
  }
}

function* cutsOfStep(step: StepSpec): Generator<StepSpec> {
  for (const key of ["id", "needs", "applies", "count", "until"] as const) {
    const { [key]: value, ...rest } = step;
    if (value !== undefined) yield rest;
  }
  for (const [index, list] of (step.lists ?? []).entries())
    for (const shorter of cutsOfSteps(list)) yield { ...step, lists: step.lists!.with(index, shorter) };
  if (step.verb === "observe") {
    for (const lit of without(step.lit ?? [])) yield { ...step, lit };
    if ((step.keys ?? []).length > 0) yield { ...step, keys: [], lists: [] };
    if (step.of?.includes(" "))
      for (const lights of without(step.of.split(" "))) yield { ...step, of: lights.join(" ") };
  } else if (step.of) for (const of of cutsOfText(step.of)) yield { ...step, of };
}

/** `(A and B)` becomes A, or B; `not (A)` becomes A; a list of changes or moves loses one. */
function* cutsOfText(text: string): Generator<string> {
  for (const match of text.matchAll(/\(([^()]*) (?:and|or) ([^()]*)\)/g))
    for (const part of [match[1]!, match[2]!]) yield text.replace(match[0], part);
  for (const match of text.matchAll(/not \(([^()]*)\)/g)) yield text.replace(match[0], match[1]!);
  for (const mark of ["; ", ", "]) {
    const parts = text.split(mark);
    for (let index = 1; index < parts.length; index++) yield parts.toSpliced(index, 1).join(mark);
  }
  const scope = / only-(after|until) [^()]*?(?= only-| applies|$)/.exec(text);
  if (scope) yield text.replace(scope[0], "");
}

function* without<T>(list: readonly T[]): Generator<T[]> {
  for (let index = 0; index < list.length; index++) yield list.toSpliced(index, 1);
}
