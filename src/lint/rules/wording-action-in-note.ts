import { type FindingKind, finding } from "../../diagnostics/finding.js";
import { cardWith } from "../example.js";
import { placeOf } from "../places.js";
import { type LintRule, subjectOf } from "../rule.js";
import { orderIn, sentencesOf } from "../text.js";

const kind: FindingKind = {
  code: "wording/action-in-note",
  severity: "warning",
  summary: "A warning, caution or note orders an action.",
  why:
    "A box is read and not ticked: an action in it has no number, no tick and no place in the proof. Based on NUREG-0899, " +
    "as quoted elsewhere: a warning, caution or note holds no action. Only sentences that open with a common verb of " +
    "action are recognised; what must be left alone (`Do not ...`, `Keep clear ...`) is no action.",
  bad: cardWith(`
    - set: { pump: on }
      caution: A dry pump seizes. Open the vent first.`),
  good: cardWith(`
    - do: Open the vent
    - set: { pump: on }
      caution: A dry pump seizes.`),
};

/** W8 of the guidance. */
export const actionInNote: LintRule = {
  kind,
  prose(prose, context) {
    if (prose.under !== "warning" && prose.under !== "caution" && prose.under !== "note") return [];
    const order = sentencesOf(prose.text).find((sentence) => orderIn(sentence));
    if (order === undefined) return [];
    const message = `this ${prose.under} orders an action, \`${orderIn(order)} ...\`, which no line of the card holds`;
    const help = [`make it a step of its own, and keep in the ${prose.under} what may happen and why`];
    return [finding(kind, placeOf(order, prose.at), message, { help, subject: subjectOf(context, prose.step) })];
  },
};
