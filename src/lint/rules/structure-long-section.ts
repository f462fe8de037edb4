import { type FindingKind, finding } from "../../diagnostics/finding.js";
import type { Step } from "../../program/procedure.js";
import { cardWith } from "../example.js";
import { type CardContext, type LintRule, subjectOf } from "../rule.js";
import { asWritten, everyStep, linesOf } from "../walk.js";

const kind: FindingKind = {
  code: "structure/long-section",
  severity: "info",
  summary: "A section, or a card without sections, has more than ten lines of its own.",
  why:
    "In a long list an interrupted reader loses his place, and a section is where he finds it again. Based on NASA CR-177549, " +
    "(7), as quoted elsewhere: long lists are cut into chunks by system or task. The limit of ten lines is from memory. " +
    "What stands inside a decision or a loop is not counted.",
  bad: cardWith(walkRound(11)),
  good: cardWith(`
    - section: Forward
      steps:
${indented(walkRound(6))}
    - section: Aft
      steps:
${indented(walkRound(5))}`),
};

/** From memory; an adjustable default. */
const MOST_LINES = 10;

/** O2 of the guidance. */
export const longSection: LintRule = {
  kind,
  procedure: (procedure, context) => tooLong(procedure.steps, "this card", undefined, context),
  step: (step, context) => (step.kind === "section" ? tooLong(step.steps, "this section", step, context) : []),
};

function tooLong(steps: readonly Step[], what: string, section: Step | undefined, context: CardContext) {
  const lines = asWritten(steps).reduce((sum, step) => sum + ownLines(step), 0);
  if (lines <= MOST_LINES) return [];
  const message = `${what} has ${lines} lines without a heading between them; ${MOST_LINES} are a good length`;
  const at =
    section?.verb ?? context.places.ofFile(context.procedure.span, "steps")?.key.span ?? context.procedure.span;
  const help = ["cut it into `section`s by system or by task"];
  return [finding(kind, at, message, { help, subject: subjectOf(context, section) })];
}

/** Sections and boxed items are chunks by themselves; a part that is performed stands here line by line. */
function ownLines(step: Step): number {
  if (step.kind === "section" || step.kind === "memory") return 0;
  if (step.kind !== "perform" || step.target.kind === "procedure") return linesOf(step);
  return everyStep(step.steps).some((inner) => inner.kind === "section")
    ? 0
    : asWritten(step.steps).reduce((sum, inner) => sum + ownLines(inner), 0);
}

function walkRound(lines: number): string {
  return Array.from({ length: lines }, (_, index) => `    - do: Look at frame ${index + 1}`).join("\n");
}

function indented(text: string): string {
  return text.replace(/^/gm, "    ");
}
