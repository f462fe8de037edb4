import { type FindingKind, finding } from "../../diagnostics/finding.js";
import { cardText, cardWith } from "../example.js";
import { type LintRule, subjectOf } from "../rule.js";

const kind: FindingKind = {
  code: "record/no-revision",
  severity: "warning",
  summary: "A card has no revision, and others of the same project have one.",
  why:
    "Two prints of a card without a revision cannot be told apart on the bench. A project that gives none to any card is " +
    "left in peace. Common practice, no published source.",
  bad: twoCards(""),
  good: twoCards("revision: { number: 1, date: 2026-10-02 }"),
};

/** A card that was forgotten when the others were numbered. */
export const noRevision: LintRule = {
  kind,
  procedure(procedure, context) {
    const other = [...context.program.procedures.values()].find((candidate) => candidate.revision);
    if (procedure.revision || !other) return [];
    const at = context.places.ofFile(procedure.span, "title")?.value.span ?? procedure.span;
    const message = `this card has no revision, and \`${other.id}\` has one`;
    const help = ["give it a `revision` with a number and a date, to be printed on every page"];
    return [finding(kind, at, message, { help, subject: subjectOf(context) })];
  },
};

function twoCards(revision: string) {
  const head = "revision: { number: 1, date: 2026-10-02 }";
  return {
    ...cardWith("- set: { pump: on }", { head: revision }),
    "stop-pump.yaml": cardText("- set: { pump: off }", { title: "Stop the bilge pump", head }),
  };
}
