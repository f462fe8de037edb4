import { type Finding, type FindingKind, finding } from "../../diagnostics/finding.js";
import { cardWith } from "../example.js";
import { placeOf } from "../places.js";
import type { Prose, ProseKey } from "../prose.js";
import { type CardContext, type LintRule, subjectOf } from "../rule.js";
import { sentencesOf, wordsOf } from "../text.js";

const kind: FindingKind = {
  code: "wording/long-step",
  severity: "warning",
  summary: "A sentence of more than 20 words (25 where it only describes), or more than 6 sentences in one text.",
  why:
    "A long sentence is read twice, or half. Based on ASD-STE100, as quoted elsewhere: at most 20 words in an instruction, " +
    "25 in a descriptive sentence, 6 sentences in a paragraph. What is spoken (`say`) and the reasons in foot notes are " +
    "not counted.",
  bad: cardWith(
    "- do: Look over the strainer and the hoses for cracks and leaks and loose clamps on both sides of the hull from the forepeak to the stern",
  ),
  good: cardWith(`
    - do: Look over the strainer and the hoses for cracks and leaks
    - do: Look for loose clamps on both sides of the hull`),
};

const INSTRUCTION_WORDS = 20;
const DESCRIPTION_WORDS = 25;
const PARAGRAPH_SENTENCES = 6;

const WORD_LIMITS: Partial<Record<ProseKey, number>> = {
  do: INSTRUCTION_WORDS,
  words: INSTRUCTION_WORDS,
  challenge: INSTRUCTION_WORDS,
  response: INSTRUCTION_WORDS,
  "set-aside": INSTRUCTION_WORDS,
  pause: INSTRUCTION_WORDS,
  finish: DESCRIPTION_WORDS,
  warning: DESCRIPTION_WORDS,
  caution: DESCRIPTION_WORDS,
  note: DESCRIPTION_WORDS,
  "use-when": DESCRIPTION_WORDS,
};

/** W4 of the guidance. One finding for a text: its first sentence that is too long, else the number of sentences. */
export const longStep: LintRule = {
  kind,
  prose(prose, context) {
    const limit = WORD_LIMITS[prose.under];
    if (limit === undefined) return [];
    const sentences = sentencesOf(prose.text);
    const long = sentences.find((sentence) => wordsOf(sentence).length > limit);
    if (long !== undefined) return [longSentence(long, limit, prose, context)];
    return sentences.length > PARAGRAPH_SENTENCES ? [manySentences(sentences.length, prose, context)] : [];
  },
};

function longSentence(sentence: string, limit: number, prose: Prose, context: CardContext): Finding {
  const what = limit === INSTRUCTION_WORDS ? "an instruction" : "a description";
  const message = `this sentence has ${wordsOf(sentence).length} words; ${limit} are the most for ${what}`;
  const help = ["cut it in two, or leave out what the crew does not need at this line"];
  return finding(kind, placeOf(sentence, prose.at), message, { help, subject: subjectOf(context, prose.step) });
}

function manySentences(count: number, prose: Prose, context: CardContext): Finding {
  const message = `this text has ${count} sentences; ${PARAGRAPH_SENTENCES} are the most for one paragraph`;
  const help = ["keep what is needed at this line, and move the rest to the manual"];
  return finding(kind, prose.at, message, { help, subject: subjectOf(context, prose.step) });
}
