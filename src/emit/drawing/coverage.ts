import type { Face } from "./marks.js";

/** A stretch of text that one face draws: the face itself, the one that stands in for it, or none. */
export interface Stretch {
  readonly text: string;
  readonly from: "face" | "fallback" | "none";
}

/** Which glyphs a face has, by code point. */
export interface Glyphs {
  hasGlyphForCodePoint(codePoint: number): boolean;
}

export type Coverage = (text: string, face: Face) => readonly Stretch[];

const clusters = new Intl.Segmenter("en", { granularity: "grapheme" });

/**
 * Cuts a text where another face must draw. A letter and the accents that combine with it are never parted; what neither
 * face holds comes out as `none`.
 */
export function stretchesOf(text: string, face: Glyphs, fallback: Glyphs): readonly Stretch[] {
  if (isPlain(text)) return text === "" ? [] : [{ text, from: "face" }];
  const stretches: { text: string; from: Stretch["from"] }[] = [];
  for (const { segment } of clusters.segment(text.normalize("NFC"))) {
    const from = holds(face, segment) ? "face" : holds(fallback, segment) ? "fallback" : "none";
    const last = stretches.at(-1);
    if (last?.from === from) last.text += segment;
    else stretches.push({ text: segment, from });
  }
  return stretches;
}

/** Printable ASCII, which both faces hold whole. */
function isPlain(text: string): boolean {
  return /^[\x20-\x7e]*$/.test(text);
}

function holds(glyphs: Glyphs, cluster: string): boolean {
  return Array.from(cluster).every((character) => glyphs.hasGlyphForCodePoint(character.codePointAt(0) ?? 0));
}
