import { type FindingKind, finding } from "../../diagnostics/finding.js";
import { cardWith } from "../example.js";
import { placeOf } from "../places.js";
import { type LintRule, subjectOf } from "../rule.js";
import { orderAfterAnd, orderIn, sentencesOf } from "../text.js";

const kind: FindingKind = {
  code: "wording/two-actions",
  severity: "warning",
  summary: "One line asks for two actions, one after the other.",
  why:
    "A reader who is interrupted marks his place by the line: the second action of a line is the one that is lost. " +
    "Based on NUREG-0899 (no action hung on with `then`) and on ASD-STE100 and DOE-STD-1029-92 (one action a step, two only " +
    "where they are done at the same time), all as quoted elsewhere. Only orders that open with a common verb of action " +
    "are recognised.",
  bad: cardWith("- do: Open the strainer and remove the basket"),
  good: cardWith(`
    - do: Open the strainer
    - do: Remove the basket`),
};

/** W2 and W3 of the guidance, in the text of `do` and in `words` that stand for the whole line. */
export const twoActions: LintRule = {
  kind,
  prose(prose, context) {
    if (prose.under !== "do" && prose.under !== "words") return [];
    const second = secondAction(prose.text);
    if (second === undefined) return [];
    const message = `this line holds a second action: \`${second}\``;
    const help = ["give each action a line of its own; for two at the same time, write `while` or use `together`"];
    return [finding(kind, placeOf(second, prose.at), message, { help, subject: subjectOf(context, prose.step) })];
  },
};

function secondAction(text: string): string | undefined {
  const [first = "", ...others] = sentencesOf(text);
  const another = others.find((sentence) => orderIn(first) && orderIn(sentence));
  return afterThen(first) ?? orderAfterAnd(first) ?? another;
}

/** What follows `then`, unless it closes a condition (`If it rains, then ...`) or means a time (`by then`). */
function afterThen(sentence: string): string | undefined {
  if (/^(if|when|unless|while)\b/iu.test(sentence)) return undefined;
  return /(?<!\b(?:until|till|by|since|even|now and))\s+(then\s+\p{L}[^.;]*)/iu.exec(sentence)?.[1];
}
