import { type FindingKind, finding } from "../../diagnostics/finding.js";
import type { Step } from "../../program/procedure.js";
import { cardWith } from "../example.js";
import { type CardContext, type LintRule, subjectOf } from "../rule.js";
import { everyList } from "../walk.js";

const kind: FindingKind = {
  code: "structure/wait-without-pause",
  severity: "info",
  summary: "A card waits ten minutes or more and has no hold point beside the wait.",
  why:
    "In a long wait the crew turns to something else, and comes back to the wrong line. Based on Flight Safety Foundation ALAR " +
    "briefing note 1.5, as quoted elsewhere: a list that waits has a hold mark, and resumes by repeating the last item. " +
    "That long means ten minutes is from memory.",
  bad: cardWith(`
    - set: { pump: on }
    - wait: 15 min
    - do: Look into the well`),
  good: cardWith(`
    - set: { pump: on }
    - wait: 15 min
    - pause: The bilge is being pumped
    - do: Look into the well`),
};

/** Milliseconds. From memory; an adjustable default. */
const LONG_WAIT = 10 * 60_000;

/** O6 of the guidance, for waits whose length is stated. */
export const waitWithoutPause: LintRule = {
  kind,
  procedure: (procedure, context) => everyList(procedure.steps).flatMap((list) => unmarkedWaits(list, context)),
};

function unmarkedWaits(list: readonly Step[], context: CardContext) {
  return list.flatMap((step, index) => {
    const beside = [list[index - 1], list[index + 1]];
    if (statedWait(step) < LONG_WAIT || beside.some((other) => other?.kind === "pause")) return [];
    const message = `the card waits here for ${statedWait(step) / 60_000} min without a hold point`;
    const help = ["put a `pause` beside the wait, so that the card shows where to take it up again"];
    return [finding(kind, step.verb, message, { help, subject: subjectOf(context, step) })];
  });
}

function statedWait(step: Step): number {
  if (step.kind === "wait") return step.milliseconds;
  return step.kind === "wait-for" ? (step.within ?? 0) : 0;
}
