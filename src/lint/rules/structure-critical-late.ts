import { type Finding, type FindingKind, finding } from "../../diagnostics/finding.js";
import type { Step } from "../../program/procedure.js";
import { cardWith } from "../example.js";
import { type CardContext, type LintRule, subjectOf } from "../rule.js";
import { everyList } from "../walk.js";

const kind: FindingKind = {
  code: "structure/critical-late",
  severity: "info",
  summary: "A critical look stands below looks that are not, though nothing is moved between them.",
  why:
    "The lower a line stands, the likelier it is lost to an interruption. Based on NASA CR-177549, (10), as quoted " +
    "elsewhere: the most critical items come as early as they can, and that outweighs the flow of the panels. Only an " +
    "unbroken run of looks is judged, where the order is free.",
  bad: cardWith(looks(false, true)),
  good: cardWith(looks(true, false)),
};

/** O4 of the guidance, where it costs nothing: within a run of `check` and `observe`. */
export const criticalLate: LintRule = {
  kind,
  procedure: (procedure, context) => everyList(procedure.steps).flatMap((list) => lateIn(list, context)),
};

function lateIn(list: readonly Step[], context: CardContext): readonly Finding[] {
  return list.flatMap((step, index) => {
    const before = list[index - 1];
    if (!step.critical || !isFreeLook(step) || !before || before.critical || !isFreeLook(before)) return [];
    return [late(step, before, context)];
  });
}

/** A look that moves nothing and asks nothing of what went before it. */
function isFreeLook(step: Step): boolean {
  return (step.kind === "check" || step.kind === "observe") && !step.needs && !step.applies && step.side === undefined;
}

function late(step: Step, before: Step, context: CardContext): Finding {
  const message = `this critical look stands below line ${before.number}, which is not critical and moves nothing`;
  const help = ["move it up; allow this finding if the order of the panels, or of what it rests on, matters more here"];
  const labels = [{ at: before.verb, text: "could come after it" }];
  return finding(kind, step.verb, message, { help, labels, subject: subjectOf(context, step) });
}

function looks(first: boolean, second: boolean): string {
  const mark = (critical: boolean) => (critical ? "\n  critical: true" : "");
  return `- check: well <= 200 L${mark(first)}
  if-not: { set-aside: Call the mate. }
- check: suction is open${mark(second)}
  if-not: { set-aside: Call the mate. }`;
}
