import { type FindingKind, finding } from "../../diagnostics/finding.js";
import type { Step } from "../../program/procedure.js";
import { type TracedStep, tracedSteps } from "../baseline.js";
import { cardWith } from "../example.js";
import { type LintRule, subjectOf } from "../rule.js";
import { listsInside } from "../walk.js";

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

/** A `ref` lower than one above it on the same path, in the same section of the baseline, without `moved` on this line or that. */
export const outOfOrder: LintRule = {
  kind,
  procedure: (procedure, context) =>
    inversionsIn(procedure.steps).map(([before, { step, paragraph }]) => {
      const message = `\`${paragraph.ref}\` stands after \`${before.paragraph.ref}\`, and before it in the baseline`;
      const help = ["say in `moved` why the order differs, on the line that was moved"];
      const labels = [{ at: before.step.verb, text: `this is \`${before.paragraph.ref}\`` }];
      const at = context.places.under(step.span, "ref")?.span ?? step.verb;
      return finding(kind, at, message, { help, labels, subject: subjectOf(context, step) });
    }),
};

type Inversion = readonly [before: TracedStep, after: TracedStep];

/** Each line that stands too late, with the first line that stands before it. */
function inversionsIn(steps: readonly Step[]): readonly Inversion[] {
  const found: Inversion[] = [];
  walkPath(steps, [], found);
  return found;
}

/** Walks a list after the lines `before` it; gives those and its own. A part performed again stands where it first stood. */
function walkPath(steps: readonly Step[], before: readonly TracedStep[], found: Inversion[]): readonly TracedStep[] {
  let passed = before;
  for (const step of steps) {
    const isAgain = passed.some((other) => other.step.span.start === step.span.start);
    const [traced] = step.moved === undefined && !isAgain ? tracedSteps([step]) : [];
    const ahead = traced && passed.find((other) => isAhead(other, traced));
    if (traced && ahead) found.push([ahead, traced]);
    if (traced) passed = [...passed, traced];
    passed = walkInside(step, passed, found);
  }
  return passed;
}

/** Ways of a decision, options and lanes have no order among them; what is done when a look fails has none at all. */
function walkInside(step: Step, before: readonly TracedStep[], found: Inversion[]): readonly TracedStep[] {
  if (step.kind === "check" || step.kind === "watch" || step.kind === "observe") return before;
  const lists = step.kind === "wait-for" ? [step.steps] : listsInside(step);
  const inside = lists.flatMap((list) => walkPath(list, before, found).slice(before.length));
  return [...before, ...inside];
}

function isAhead(other: TracedStep, { paragraph }: TracedStep): boolean {
  return other.paragraph.within === paragraph.within && other.paragraph.number > paragraph.last;
}

function twoLines(first: string, second: string) {
  const steps = `- set: { suction: open }\n  ref: 4.2/2${first}\n- set: { pump: on }\n  ref: 4.2/1${second}`;
  return cardWith(steps, { head: "baseline: { document: Bilge manual, section: 4.2 }" });
}
