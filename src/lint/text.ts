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
  const [verb = "", object = ""] = sentence.split(/\s+/).map((word) => word.replace(/[,.;:!?]+$/u, ""));
  if (!/^\p{L}\p{Ll}+$/u.test(verb)) return undefined;
  const word = verb.toLowerCase();
  if (DETERMINERS.has(object)) return VERBS.has(word) || VERBS_AND_NOUNS.has(word) ? verb : undefined;
  const isOrder = object === "" ? BARE_VERBS.has(word) : VERBS.has(word) && opensObject(word, object);
  return isOrder ? verb : undefined;
}

/** A second order hung on with `and`: its clause. What is done at the same time as the first is not one. */
export function orderAfterAnd(sentence: string): string | undefined {
  for (const match of sentence.matchAll(/\band\s+(?=\p{L})/giu)) {
    const rest = sentence.slice(match.index + match[0].length).replace(/[,;.!?](\s.*)?$/su, "");
    if (orderIn(rest)) return rest;
  }
  return undefined;
}

function trimmed(text: string): string {
  return text.trim();
}

/** An engraved word, or the particle of a verb that needs one: what tells `Open DRAIN` from an `Open circuit`. */
function opensObject(verb: string, word: string): boolean {
  const isEngraved = /^[A-Z][A-Z0-9/-]+$/.test(word);
  return isEngraved || (word === "that" && verb === "check") || (PARTICLES.has(word) && PARTICLE_VERBS.has(verb));
}

function wordSet(words: string): ReadonlySet<string> {
  return new Set(words.split(" "));
}

/** Verbs by which an operator is told to act. Watching and listening are left out: they go on beside an action. */
const VERBS = wordSet(
  "open close shut set turn check verify select tell inform notify advise ask engage disengage connect disconnect isolate " +
    "remove insert raise unlock read adjust arm disarm secure replace rotate put unlatch write install tighten slacken uncover wait",
);

/** Such verbs that name a thing as well (`hose and pump`): an order only where `the` or the like follows. */
const VERBS_AND_NOUNS = wordSet(
  "switch press push pull start stop move call report reset release drain fill lower lock record test pump crank vent trip " +
    "place lift latch ring enter fit bleed prime purge drop launch hoist cover",
);

/** Verbs that may stand alone and are nothing else. */
const BARE_VERBS = wordSet(
  "verify remove insert inform notify engage disengage connect disconnect isolate wait adjust",
);
const DETERMINERS = wordSet("the a an both all each every any either it them this these those its your");
const PARTICLES = wordSet("off on out up down");
const PARTICLE_VERBS = wordSet("turn put shut");
