import { type FindingKind, finding } from "../../diagnostics/finding.js";
import { tracedSteps } from "../baseline.js";
import { cardWith } from "../example.js";
import { type LintRule, subjectOf } from "../rule.js";
import { everyStep } from "../walk.js";

const kind: FindingKind = {
  code: "record/out-of-order",
  severity: "warning",
  summary: "A line stands elsewhere than in the baseline, and nothing says why.",
  why:
    "An order that was changed by design looks like one that was changed by mistake. Each line that is moved has its reason " +
    "on record. Common practice, no published source.",
  bad: twoLines("", ""),
  good: twoLines("", "\n  moved: The pump must not run against a closed valve."),
};

/** A `ref` lower than one above it in the same section of the baseline, without `moved` on this line or that. */
export const outOfOrder: LintRule = {
  kind,
  procedure(procedure, context) {
    const traced = tracedSteps(everyStep(procedure.steps)).filter(({ step }) => step.moved === undefined);
    return traced.flatMap(({ step, paragraph }, index) => {
      const before = traced
        .slice(0, index)
        .find((other) => other.paragraph.within === paragraph.within && other.paragraph.number > paragraph.last);
      if (!before) return [];
      const message = `\`${paragraph.ref}\` stands after \`${before.paragraph.ref}\`, and before it in the baseline`;
      const help = ["say in `moved` why the order differs, on the line that was moved"];
      const labels = [{ at: before.step.verb, text: `this is \`${before.paragraph.ref}\`` }];
      const at = context.places.under(step.span, "ref")?.span ?? step.verb;
      return [finding(kind, at, message, { help, labels, subject: subjectOf(context, step) })];
    });
  },
};

function twoLines(first: string, second: string) {
  const steps = `- set: { suction: open }\n  ref: 4.2/2${first}\n- set: { pump: on }\n  ref: 4.2/1${second}`;
  return cardWith(steps, { head: "baseline: { document: Bilge manual, section: 4.2 }" });
}
