import { type FindingKind, finding } from "../../diagnostics/finding.js";
import { cardWith } from "../example.js";
import { type LintRule, subjectOf } from "../rule.js";
import { wordsOf } from "../text.js";

const kind: FindingKind = {
  code: "wording/all-capitals",
  severity: "info",
  summary: "A long text stands in capitals.",
  why:
    "Words in capitals lose their outline and are read more slowly. Based on NASA CR-177605, as quoted elsewhere: mixed " +
    "case for long text, capitals for short items only. That long means more than six words is from memory.",
  bad: cardWith(`
    - do: Listen at the pump
      note: A PUMP THAT RUNS DRY IS MUCH LOUDER THAN A WET ONE.`),
  good: cardWith(`
    - do: Listen at the pump
      note: A pump that runs dry is much louder than a wet one.`),
};

/** From memory; an adjustable default. */
const LONG = 6;

/** P3 of the guidance, as far as it is a matter of wording. */
export const allCapitals: LintRule = {
  kind,
  prose(prose, context) {
    const words = wordsOf(prose.text).filter((word) => /\p{L}/u.test(word));
    if (words.length <= LONG || words.some((word) => /\p{Ll}/u.test(word))) return [];
    const message = `this text of ${words.length} words stands in capitals throughout`;
    const help = ["write it in ordinary letters, and keep capitals for what is engraved on the panel"];
    return [finding(kind, prose.at, message, { help, subject: subjectOf(context, prose.step) })];
  },
};
