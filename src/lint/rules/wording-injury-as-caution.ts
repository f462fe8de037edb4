import { type FindingKind, finding } from "../../diagnostics/finding.js";
import { cardWith } from "../example.js";
import { placeOf } from "../places.js";
import { type LintRule, subjectOf } from "../rule.js";

const kind: FindingKind = {
  code: "wording/injury-as-caution",
  severity: "info",
  summary: "A caution or note speaks of people being hurt.",
  why:
    "A crew reads a warning for themselves and a caution for the machine. Based on ASD-STE100, as quoted elsewhere: WARNING " +
    "where a person may be hurt, CAUTION where equipment may be damaged. ANSI Z535.4 uses CAUTION for lesser injury too: " +
    "a project that follows it turns this off.",
  bad: cardWith(`
    - set: { pump: on }
      caution: The open coupling can injure a hand.`),
  good: cardWith(`
    - set: { pump: on }
      warning: The open coupling can injure a hand.`),
};

const INJURY =
  /\b(injur(e|es|ed|ies|y)|death|fatal(ly)?|kills?|killed|scalds?|electrocut\w+|electric shock|asphyxia\w*|suffocat\w+)\b/iu;

/** W17 of the guidance. */
export const injuryAsCaution: LintRule = {
  kind,
  prose(prose, context) {
    if (prose.under !== "caution" && prose.under !== "note") return [];
    const word = INJURY.exec(prose.text)?.[0];
    if (!word) return [];
    const message = `this ${prose.under} speaks of people being hurt: \`${word}\``;
    const help = ["make it a `warning`; a caution is for equipment"];
    return [finding(kind, placeOf(word, prose.at), message, { help, subject: subjectOf(context, prose.step) })];
  },
};
