import { type FindingKind, finding } from "../../diagnostics/finding.js";
import { cardText, cardWith } from "../example.js";
import type { LintRule } from "../rule.js";
import { plainly } from "../text.js";

const kind: FindingKind = {
  code: "record/same-title",
  severity: "warning",
  summary: "Two cards bear the same title.",
  why: "The crew picks a card by its title, from an index or a binder. Common practice, no published source.",
  bad: twoCards("Pump the bilge"),
  good: twoCards("Stop the bilge pump"),
};

/** Titles of the cards of one system, letter case and punctuation aside. */
export const sameTitle: LintRule = {
  kind,
  program(program, places) {
    const procedures = [...program.procedures.values()];
    return procedures.flatMap((procedure, index) => {
      const isTwin = (other: typeof procedure) =>
        other.system === procedure.system && plainly(other.title) === plainly(procedure.title);
      const twin = procedures.slice(0, index).find(isTwin);
      if (!twin) return [];
      const at = places.ofFile(procedure.span, "title")?.value.span ?? procedure.span;
      const labels = [{ at: places.ofFile(twin.span, "title")?.value.span ?? twin.span, text: "the other one" }];
      const message = `\`${procedure.id}\` and \`${twin.id}\` bear the same title`;
      const help = ["say in the title what sets the one apart from the other"];
      return [finding(kind, at, message, { help, labels, subject: { procedure: procedure.id } })];
    });
  },
};

function twoCards(title: string) {
  return {
    ...cardWith("- set: { pump: on }"),
    "stop-pump.yaml": cardText("- set: { pump: off }", { title }),
  };
}
