import { type FindingKind, finding } from "../../diagnostics/finding.js";
import type { Step } from "../../program/procedure.js";
import { cardWith } from "../example.js";
import { type LintRule, subjectOf } from "../rule.js";
import { everyStep } from "../walk.js";

const kind: FindingKind = {
  code: "structure/late-memory",
  severity: "warning",
  summary: "A box of memory items stands after lines that are read.",
  why:
    "What is done from memory has been done before anybody opens the card; a line above it is then read too late. Common " +
    "practice, no published source.",
  bad: cardWith(
    `
    - do: Close the hatch
    - memory:
        - do: Shout the alarm`,
    flooding(),
  ),
  good: cardWith(
    `
    - memory:
        - do: Shout the alarm
    - do: Close the hatch`,
    flooding(),
  ),
};

/** Only headings may stand above the first box; further boxes follow it directly. */
export const lateMemory: LintRule = {
  kind,
  procedure(procedure, context) {
    const steps = everyStep(procedure.steps);
    const inBoxes = new Set(steps.flatMap((step) => (step.kind === "memory" ? everyStep(step.steps) : [])));
    const read = steps.find((step) => isRead(step) && !inBoxes.has(step));
    const late = steps.find((step) => step.kind === "memory" && read && steps.indexOf(step) > steps.indexOf(read));
    if (!read || !late) return [];
    const message = `these memory items stand after line ${read.number}, which is read from the card`;
    const help = ["move the box to the top, or make its items ordinary lines"];
    const labels = [{ at: read.verb, text: "read before them" }];
    return [finding(kind, late.verb, message, { help, labels, subject: subjectOf(context, late) })];
  },
};

function isRead(step: Step): boolean {
  return step.kind !== "section" && step.kind !== "memory";
}

function flooding() {
  return { category: "emergency", head: "use-when: Water is coming in faster than the pump takes it out." };
}
