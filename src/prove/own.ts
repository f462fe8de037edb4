import type { Finding } from "../diagnostics/finding.js";
import type { Procedure, Step } from "../program/procedure.js";
import { innerSteps, walkSteps } from "../program/walk.js";
import { ORDER_ALREADY } from "./kinds.js";

/** The steps that a procedure's own run answers for: all but those of procedures that it performs. A part has no run of its own. */
export function ownSteps(steps: readonly Step[]): readonly Step[] {
  return steps.flatMap((step) => {
    if (step.kind === "perform" && step.target.kind === "procedure") return [step];
    return [step, ...innerSteps(step).flatMap(ownSteps)];
  });
}

/** Their names. */
export function ownNames(procedure: Procedure): ReadonlySet<string> {
  return new Set(ownSteps(procedure.steps).map((step) => step.name));
}

/** One line of a part, performed twice, is two steps. */
export function isSameLine(one: Step, other: Step): boolean {
  if (one === other) return true;
  const isInPart = one.name.includes(":") && other.name.includes(":");
  return isInPart && one.verb.file === other.verb.file && one.verb.start === other.verb.start;
}

/** What the run of a performed procedure reports at a line of its own is not repeated by those who perform it. */
export function withoutRepeats(
  results: readonly { readonly procedure: Procedure; readonly findings: readonly Finding[] }[],
): readonly Finding[] {
  const told = new Map(results.map(({ procedure, findings }) => [procedure.id, new Set(findings.flatMap(causesOf))]));
  return results.flatMap(({ procedure, findings }) => {
    const own = ownNames(procedure);
    const performed = performedBy(procedure).flatMap((id) => told.get(id) ?? []);
    return findings.filter((one) => {
      const { step } = one.subject;
      if (step === undefined || own.has(step) || one.code === ORDER_ALREADY.code) return true;
      return !performed.some((causes) => causes.has(causeAt(one, step)));
    });
  });
}

function performedBy(procedure: Procedure): readonly string[] {
  return [...walkSteps(procedure.steps)].flatMap((step) =>
    step.kind === "perform" && step.target.kind === "procedure" ? [step.target.id] : [],
  );
}

/** A step is named by itself where it has an id, and after the procedure that is performed where it has none. */
function causesOf(one: Finding): readonly string[] {
  const { step, procedure } = one.subject;
  const steps = [...(step === undefined ? [] : [step]), ...(one.also ?? [])];
  return steps.flatMap((name) => [causeAt(one, name), causeAt(one, `${procedure}:${name}`)]);
}

function causeAt({ code, subject }: Finding, step: string): string {
  return JSON.stringify([code, subject.rule ?? subject.thing, step]);
}
