import { type FindingKind, finding } from "../../diagnostics/finding.js";
import { cardWith } from "../example.js";
import { placeOf } from "../places.js";
import { type LintRule, subjectOf } from "../rule.js";
import { sentencesOf } from "../text.js";

const kind: FindingKind = {
  code: "wording/condition-last",
  severity: "warning",
  summary: "A line tells what to do before it tells in which case.",
  why:
    "The hand has moved before the eye comes to the `if`; and a condition in the text is one that no proof can see. Based on " +
    "NUREG-0899 and DOE-STD-1029-92, as quoted elsewhere: the condition first, then the action.",
  bad: cardWith("- do: Rig the hand pump if the mains are dead"),
  good: cardWith("- do: If the mains are dead, rig the hand pump"),
};

const CONDITION_LAST = /(?<!\b(?:as|even|what|only))\s+((?:if|unless)\b.*)/iu;

/** The condition stands first; or `if` means `whether`, as after these verbs. */
const NOT_JUDGED = /^(if|unless|when|ask|check|see|look|find|tell|confirm|report|note)\b/iu;

/** W5 of the guidance, in the text of `do` and in `words` that stand for the whole line. */
export const conditionLast: LintRule = {
  kind,
  prose(prose, context) {
    if (prose.under !== "do" && prose.under !== "words") return [];
    const sentence = sentencesOf(prose.text).find((text) => !NOT_JUDGED.test(text) && CONDITION_LAST.test(text));
    const condition = sentence && CONDITION_LAST.exec(sentence)?.[1];
    if (!condition) return [];
    const message = `the case, \`${condition.replace(/[.]$/u, "")}\`, comes after the action`;
    const subject = subjectOf(context, prose.step);
    return [finding(kind, placeOf(condition, prose.at), message, { help: helpFor(condition), subject })];
  },
};

function helpFor(condition: string): readonly string[] {
  if (/^if\s+(fitted|installed|present)\b/iu.test(condition))
    return ["say which ships have it with `fitted` or `applies`: the others then leave the line out"];
  return ["write an `if:` step, which is proved both ways; for a case outside the model, put the condition first"];
}
