import { type FindingKind, finding } from "../../diagnostics/finding.js";
import { cardWith } from "../example.js";
import { type LintRule, subjectOf } from "../rule.js";
import { everyStep } from "../walk.js";

const kind: FindingKind = {
  code: "record/omitted-yet-there",
  severity: "warning",
  summary: "A paragraph of the baseline is listed as left out, and a line carries it.",
  why: "One of the two is left from an older revision, and a reviewer cannot know which. Common practice, no published source.",
  bad: cardWith("- set: { suction: open }\n  ref: 4.2/1", { head: omitting("4.2/1") }),
  good: cardWith("- set: { suction: open }\n  ref: 4.2/1", { head: omitting("4.2/2") }),
};

/** The same `ref` under `omits` and on a step. */
export const omittedYetThere: LintRule = {
  kind,
  procedure(procedure, context) {
    const steps = everyStep(procedure.steps);
    return procedure.omits.flatMap(({ ref, span }) => {
      const step = steps.find((candidate) => candidate.ref === ref);
      if (!step) return [];
      const message = `\`${ref}\` is listed as left out, and line ${step.number} carries it`;
      const help = ["take it out of `omits`, or the `ref` off the line"];
      const labels = [{ at: context.places.under(step.span, "ref")?.span ?? step.verb, text: "here it is" }];
      const at = context.places.under(span, "ref")?.span ?? span;
      return [finding(kind, at, message, { help, labels, subject: subjectOf(context, step) })];
    });
  },
};

function omitting(ref: string): string {
  return `
    baseline: { document: Bilge manual, section: 4.2 }
    omits:
      - { ref: ${ref}, because: The Tern has no bilge alarm to silence. }`;
}
