import * as fontkit from "fontkit";
import { type Stretch, stretchesOf } from "./coverage.js";
import type { Face } from "./marks.js";

/** The bytes of the faces (TTF, OTF or WOFF), and of the face that stands in for a missing glyph. */
export interface FaceBytes {
  readonly regular: Uint8Array;
  readonly bold: Uint8Array;
  readonly italic: Uint8Array;
  readonly fallback: { readonly regular: Uint8Array; readonly bold: Uint8Array; readonly italic: Uint8Array };
}

/** How wide a text is in a face, in points; and the height of a capital as a part of the size. */
export interface Measure {
  width(text: string, face: Face, size: number): number;
  capHeight(face: Face): number;
  /** The text cut where another face draws, or none can. */
  stretches(text: string, face: Face): readonly Stretch[];
}

/** Measures with the real metrics of the faces; words are remembered, so a second drawing costs next to nothing. */
export function measureOf(bytes: FaceBytes): Measure {
  const faces = new Map<Face, OpenFace>();
  const open = (face: Face): OpenFace => {
    const known = faces.get(face);
    if (known) return known;
    const fresh = {
      font: fontkit.create(bytes[face]),
      fallback: fontkit.create(bytes.fallback[face]),
      texts: new Map(),
      words: new Map(),
    };
    faces.set(face, fresh);
    return fresh;
  };
  return {
    width: (text, face, size) => textWidth(open(face), text) * size,
    capHeight: (face) => open(face).font.capHeight / open(face).font.unitsPerEm,
    stretches: (text, face) => stretchesOf(text, open(face).font, open(face).fallback),
  };
}

interface OpenFace {
  readonly font: fontkit.Font;
  readonly fallback: fontkit.Font;
  /** Width in ems by text, and by word. */
  readonly texts: Map<string, number>;
  readonly words: Map<string, number>;
}

function textWidth(face: OpenFace, text: string): number {
  const known = face.texts.get(text);
  if (known !== undefined) return known;
  const words = text.split(" ");
  const space = (words.length - 1) * remembered(face, " ");
  const width = words.reduce((sum, word) => (word === "" ? sum : sum + remembered(face, word)), space);
  face.texts.set(text, width);
  return width;
}

function remembered(face: OpenFace, word: string): number {
  const known = face.words.get(word);
  if (known !== undefined) return known;
  const width = stretchesOf(word, face.font, face.fallback).reduce((sum, { text, from }) => {
    const font = from === "fallback" ? face.fallback : face.font;
    return sum + font.layout(text).advanceWidth / font.unitsPerEm;
  }, 0);
  face.words.set(word, width);
  return width;
}
