import { type FindingKind, finding } from "../../diagnostics/finding.js";
import type { Step } from "../../program/procedure.js";
import { cardWith } from "../example.js";
import { type LintRule, subjectOf } from "../rule.js";
import { listsInside } from "../walk.js";

const kind: FindingKind = {
  code: "structure/early-completion",
  severity: "warning",
  summary: "The card is called complete, and lines follow.",
  why:
    "After the call everybody puts the card away. Based on NASA CR-177549, (6), as quoted elsewhere: a completion call is " +
    "the last item of a list, once. Initials, a record and the words of the end may follow.",
  bad: cardWith(`
    - say: Bilge checklist complete
    - do: Close the hatch`),
  good: cardWith(`
    - do: Close the hatch
    - say: Bilge checklist complete`),
};

const COMPLETION = /\b(check\s?list|list|card|procedure)\s+(is\s+)?completed?\b/iu;

/** O1 of the guidance, for calls that name the list, card or procedure. */
export const earlyCompletion: LintRule = {
  kind,
  procedure: (procedure, context) =>
    callsBeforeTheEnd(procedure.steps, []).map(({ call, next }) => {
      const message = `the card is called complete here, and line ${next.number} is still to come`;
      const help = ["move the call to the end; to end a part, name the part (`Engine start complete`)"];
      const labels = [{ at: next.verb, text: "comes after it" }];
      return finding(kind, call.verb, message, { help, labels, subject: subjectOf(context, call) });
    }),
};

interface EarlyCall {
  readonly call: Step;
  readonly next: Step;
}

/** Calls in the list that something follows; `after` is what follows the list itself. */
function callsBeforeTheEnd(steps: readonly Step[], after: readonly Step[]): readonly EarlyCall[] {
  return steps.flatMap((step, index) => {
    const rest = [...steps.slice(index + 1), ...after];
    const next = isCompletion(step) ? firstLine(rest) : undefined;
    return [
      ...(next ? [{ call: step, next }] : []),
      ...listsInside(step).flatMap((list) => callsBeforeTheEnd(list, rest)),
    ];
  });
}

function isCompletion(step: Step): boolean {
  return step.kind === "say" && step.lines.some((line) => COMPLETION.test(line.text));
}

/** The first line that is still to be done, up to an end of the card. */
function firstLine(rest: readonly Step[]): Step | undefined {
  for (const step of rest) {
    if (step.kind === "finish" || step.kind === "go-to" || step.kind === "set-aside") return undefined;
    if (step.kind !== "sign" && step.kind !== "record") return step;
  }
  return undefined;
}
