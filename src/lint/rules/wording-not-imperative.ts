import { type FindingKind, finding } from "../../diagnostics/finding.js";
import { cardWith } from "../example.js";
import { placeOf } from "../places.js";
import { type LintRule, subjectOf } from "../rule.js";
import { sentencesOf } from "../text.js";

const kind: FindingKind = {
  code: "wording/not-imperative",
  severity: "warning",
  summary: "A line describes or advises where it should tell what to do.",
  why:
    "`The hatch should be shut` leaves open who shuts it, and whether it is an order. Based on NUREG-0899, as quoted " +
    "elsewhere: a step is an instruction, imperative, short and in ordinary word order.",
  bad: cardWith("- do: The hatch should be shut"),
  good: cardWith("- do: Shut the hatch"),
};

/** `shall`, `should` and the like; a sentence with a subject of its own; an action named instead of ordered. */
const MODAL = /\b(shall|should|must|ought to|needs? to|has to|have to|is to be|are to be)\b/iu;
const SUBJECT_FIRST = /^(the|an?|you|he|she|it|they|we)\s/iu;
const GERUND_FIRST =
  /^(?!during|following|including|according)(?=\p{L}*[aeiouy]\p{L}*ing\b)\p{L}+ing\s+(the|an?|all|both)\b/iu;

/** W11 of the guidance, in the text of a `do`: other verbs write their own line. */
export const notImperative: LintRule = {
  kind,
  prose(prose, context) {
    if (prose.under !== "do") return [];
    const [sentence = ""] = sentencesOf(prose.text);
    const found = [SUBJECT_FIRST, GERUND_FIRST, MODAL]
      .map((pattern) => pattern.exec(sentence)?.[0].trim())
      .find(Boolean);
    if (!found) return [];
    const message = `this line does not tell what to do: it reads \`${found} ...\``;
    const help = ["begin with the verb, as in `Shut the hatch`, and say who does it in `by`"];
    return [finding(kind, placeOf(found, prose.at), message, { help, subject: subjectOf(context, prose.step) })];
  },
};
