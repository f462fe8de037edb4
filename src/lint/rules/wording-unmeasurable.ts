import { type FindingKind, finding } from "../../diagnostics/finding.js";
import { cardWith } from "../example.js";
import { placeOf } from "../places.js";
import type { ProseKey } from "../prose.js";
import { type LintRule, subjectOf } from "../rule.js";
import { hasFigure, sentencesOf } from "../text.js";

const kind: FindingKind = {
  code: "wording/unmeasurable",
  severity: "info",
  summary: "An instruction leans on a word that nobody can measure, without a figure.",
  why:
    "`Slowly` is ten seconds to one and a minute to another. Based on NUREG-0899, as quoted elsewhere: no slowly, " +
    "sufficient, normal, high or frequently without a number. The other words of the list are of the same kind, by " +
    "common practice.",
  bad: cardWith("- do: Turn the shaft slowly by hand"),
  good: cardWith("- do: Turn the shaft by hand, one turn in 10 s"),
};

const INSTRUCTIONS: ReadonlySet<ProseKey> = new Set(["do", "words", "response", "pause"]);

const UNMEASURABLE = new RegExp(
  "\\b(slowly|gradually|sufficient(ly)?|adequate(ly)?|frequently|periodically|occasionally|excessive(ly)?|" +
    "reasonabl[ey]|appropriate(ly)?|for a while|(?<=\\b(is|are|reads?|stays?|remains?)\\s+(too\\s+)?)(normal|high|low))\\b",
  "iu",
);

/** W10 of the guidance, in what the crew is told to do; a note may describe as it likes. */
export const unmeasurable: LintRule = {
  kind,
  prose(prose, context) {
    if (!INSTRUCTIONS.has(prose.under)) return [];
    const sentence = sentencesOf(prose.text).find((text) => UNMEASURABLE.test(text) && !hasFigure(text));
    const word = sentence && UNMEASURABLE.exec(sentence)?.[0];
    if (!word) return [];
    const message = `\`${word}\` has no figure to it, so two readers will do two things`;
    const help = ["give the figure: a time, a rate, a reading; or check a gauge against its bands"];
    return [finding(kind, placeOf(word, prose.at), message, { help, subject: subjectOf(context, prose.step) })];
  },
};
