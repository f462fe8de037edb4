import { type FindingKind, finding } from "../../diagnostics/finding.js";
import { cardWith } from "../example.js";
import { valueUnder } from "../places.js";
import { type LintRule, subjectOf } from "../rule.js";

const kind: FindingKind = {
  code: "record/no-summary",
  severity: "info",
  summary: "A later revision does not say what changed.",
  why:
    "A crew that knows the card by habit reads the summary, and then only the lines with a bar. Common practice, no " +
    "published source.",
  bad: cardWith("- set: { pump: on }", { head: "revision: { number: 2, date: 2026-10-02 }" }),
  good: cardWith("- set: { pump: on }", {
    head: "revision: { number: 2, date: 2026-10-02 }\nsummary: The valve is no longer closed afterwards.",
  }),
};

/** A revision by number, from the second on. */
export const noSummary: LintRule = {
  kind,
  procedure(procedure, context) {
    const number = Number(procedure.revision?.number);
    if (!(number > 1) || procedure.summary !== undefined) return [];
    const at = valueUnder(context.places.ofFile(procedure.span, "revision")?.value, "number")?.span ?? procedure.span;
    const message = `revision ${procedure.revision?.number} does not say what changed`;
    const help = ["say it in `summary`, in a sentence or two"];
    return [finding(kind, at, message, { help, subject: subjectOf(context) })];
  },
};
