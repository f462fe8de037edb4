import { type FindingKind, finding } from "../../diagnostics/finding.js";
import { cardWith } from "../example.js";
import { valueUnder } from "../places.js";
import { type LintRule, subjectOf } from "../rule.js";

const kind: FindingKind = {
  code: "record/effective-before-date",
  severity: "warning",
  summary: "A revision is in effect before it was written.",
  why: "Both dates are printed on every page, and one of them is wrong. Common practice, no published source.",
  bad: dated("2026-10-02", "2026-01-11"),
  good: dated("2026-10-02", "2026-11-01"),
};

/** Dates as the schema has them, year first: their order is that of their text. */
export const effectiveBeforeDate: LintRule = {
  kind,
  procedure({ revision, span }, context) {
    if (!revision?.date || !revision.effective || revision.effective >= revision.date) return [];
    const at = valueUnder(context.places.ofFile(span, "revision")?.value, "effective")?.span ?? span;
    const message = `this revision is in effect from ${revision.effective}, and was written on ${revision.date}`;
    const help = ["mend the date that is wrong"];
    return [finding(kind, at, message, { help, subject: subjectOf(context) })];
  },
};

function dated(date: string, effective: string) {
  return cardWith("- set: { pump: on }", { head: `revision: { number: 1, date: ${date}, effective: ${effective} }` });
}
