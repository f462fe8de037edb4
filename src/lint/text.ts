/** Words of a text as a reader counts them: `lube-oil`, `3.5` and `OFF,` are one each. */
export function wordsOf(text: string): readonly string[] {
  return text.split(/\s+/).filter((word) => /[\p{L}\p{N}]/u.test(word));
}

/** Sentences of a text, with their full stops. A line of its own counts as one. */
export function sentencesOf(text: string): readonly string[] {
  const lines = text.split(/\n+/);
  return lines
    .flatMap((line) => line.split(/(?<=[.!?])\s+(?=[\p{Lu}\p{N}"'(])/u))
    .map(trimmed)
    .filter((part) => part !== "");
}

/** True when a figure stands in the text, in digits or as a small number word. */
export function hasFigure(text: string): boolean {
  return /\p{N}|\b(one|two|three|four|five|six|seven|eight|nine|ten|twelve|half|quarter)\b/iu.test(text);
}

/** Lower case, every run of anything but letters and digits a single blank, with a blank at both ends. */
export function plainly(text: string): string {
  return ` ${text
    .toLowerCase()
    .replace(/[^\p{L}\p{N}]+/gu, " ")
    .trim()} `;
}

/** True when `part` stands in `text` as whole words, whatever the case and the punctuation. */
export function mentions(text: string, part: string): boolean {
  return plainly(part) !== "  " && plainly(text).includes(plainly(part));
}

/** The verb, when the sentence orders a thing to be done at once: a verb of action and then its object. */
export function orderIn(sentence: string): string | undefined {
  const [verb = "", object = ""] = sentence.split(/\s+/);
  if (!ACTION_VERBS.has(verb.toLowerCase())) return undefined;
  return object === "" || opensObject(object) ? verb : undefined;
}

/** A second order hung on with `and`: its verb and the rest of the clause. What is done at the same time is not one. */
export function orderAfterAnd(sentence: string): string | undefined {
  for (const match of sentence.matchAll(/\band\s+(?=(\p{L}+)\b)/giu)) {
    const rest = sentence.slice(match.index + match[0].length).replace(/[,;.!?].*$/su, "");
    if (orderIn(rest)) return rest;
  }
  return undefined;
}

function trimmed(text: string): string {
  return text.trim();
}

/** `the`, `all`, `it` and the like, or an engraved word: what tells the order `Open the drain` from an `Open circuit`. */
function opensObject(word: string): boolean {
  return OBJECT_OPENERS.has(word.toLowerCase().replace(/[,.;:!?]$/u, "")) || /^[A-Z][A-Z0-9/-]+$/.test(word);
}

/** Verbs by which an operator is told to act. Watching and listening are left out: they go on beside an action. */
const ACTION_VERBS = new Set(
  (
    "open close shut set turn switch press push pull start stop move select check verify call tell report reset release " +
    "engage disengage connect disconnect isolate drain fill remove insert raise lower lock unlock read record wait " +
    "adjust test pump crank vent trip arm disarm secure replace rotate place put lift latch unlatch ring inform notify " +
    "advise ask enter write install fit bleed prime purge drop launch lower hoist tighten slacken uncover cover"
  ).split(" "),
);

const OBJECT_OPENERS = new Set(
  "the a an both all each every any either it them this that these those its your off on out up down to for".split(" "),
);
