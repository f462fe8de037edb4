import { type FindingKind, finding } from "../../diagnostics/finding.js";
import { unaccountedLines } from "../baseline.js";
import { cardWith } from "../example.js";
import { type LintRule, subjectOf } from "../rule.js";
import { everyStep } from "../walk.js";

const kind: FindingKind = {
  code: "record/unaccounted-line",
  severity: "warning",
  summary: "A card that is traced to its baseline has lines without `ref`, `added` or `moved`.",
  why:
    "The reviewer has to know which lines the maker wrote and which the operator. Only a card on which some line carries a " +
    "`ref` is judged: its author traces it line by line. Common practice, no published source.",
  bad: cardWith(
    `
    - set: { suction: open }
      ref: 4.2/1
    - set: { pump: on }`,
    { head: "baseline: { document: Bilge manual, section: 4.2 }" },
  ),
  good: cardWith(
    `
    - set: { suction: open }
      ref: 4.2/1
    - set: { pump: on }
      added: The maker leaves the pump on at all times.`,
    { head: "baseline: { document: Bilge manual, section: 4.2 }" },
  ),
};

const LABELS = 5;

/** One finding for a card, at its first line of unknown origin, with the next few beside it. */
export const unaccountedLine: LintRule = {
  kind,
  procedure(procedure, context) {
    const isTraced = everyStep(procedure.steps).some((step) => step.ref !== undefined);
    if (!procedure.baseline || !isTraced) return [];
    const [first, ...others] = unaccountedLines(procedure);
    if (!first) return [];
    const more = others.length > 0 ? `, and ${others.length} more` : "";
    const message = `line ${first.number} is not accounted for against ${procedure.baseline.document}${more}`;
    const help = ["give it the `ref` of its paragraph, or say why it was `added` or `moved`"];
    const labels = others.slice(0, LABELS).map((step) => ({ at: step.verb, text: "nor is this" }));
    return [finding(kind, first.verb, message, { help, labels, subject: subjectOf(context, first) })];
  },
};
