import { type FindingKind, finding } from "../../diagnostics/finding.js";
import { cardWith } from "../example.js";
import { type LintRule, subjectOf } from "../rule.js";

const kind: FindingKind = {
  code: "record/no-use-when",
  severity: "warning",
  summary: "An abnormal or emergency card does not say when it is the right one.",
  why: "With a bell ringing, the wrong card is begun because its title sounded right. Common practice, no published source.",
  bad: cardWith("- set: { pump: on }", { category: "emergency" }),
  good: cardWith("- set: { pump: on }", {
    category: "emergency",
    head: "use-when: Water is coming in faster than the pump takes it out.",
  }),
};

/** Neither `use-when` nor `starts-on` on a card for trouble. */
export const noUseWhen: LintRule = {
  kind,
  procedure(procedure, context) {
    const isForTrouble = procedure.category === "abnormal" || procedure.category === "emergency";
    if (!isForTrouble || procedure.useWhen !== undefined || procedure.startsOn !== undefined) return [];
    const at = context.places.ofFile(procedure.span, "category")?.value.span ?? procedure.span;
    const message = `this ${procedure.category} card does not say when to use it`;
    const help = ["say it in `use-when`, or list under `starts-on` what the crew sees that calls for it"];
    return [finding(kind, at, message, { help, subject: subjectOf(context) })];
  },
};
