import type { CardDocument } from "./content.js";

// Controls, and the marks that can make text read in another order than it was written in.
// biome-ignore lint/suspicious/noControlCharactersInRegex: these are what is taken out.
const UNPRINTABLE = /(?:[\u0000-\u001f\u007f-\u009f\u200e\u200f\u2028\u2029\u202a-\u202e\u2066-\u2069\ufeff]|\s)+/gu;
const LONE_SURROGATE = /[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/g;

/** The document with every text in one line of printable characters; what its source was is not touched. */
export function cleanDocument(document: CardDocument): CardDocument {
  const { span, ...rest } = document;
  return { ...(cleanValue(rest) as Omit<CardDocument, "span">), span };
}

/** Text in one line: controls and reordering marks become spaces, halves of characters a replacement mark. */
export function cleanText(text: string): string {
  return text.replace(LONE_SURROGATE, "\ufffd").replace(UNPRINTABLE, " ").trim();
}

function cleanValue(value: unknown): unknown {
  if (typeof value === "string") return cleanText(value);
  if (Array.isArray(value)) return value.map(cleanValue);
  if (value === null || typeof value !== "object") return value;
  return Object.fromEntries(Object.entries(value).map(([key, inner]) => [key, cleanValue(inner)]));
}
