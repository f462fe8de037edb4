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
      words: new Map(),
    };
    faces.set(face, fresh);
    return fresh;
  };
  return {
    width: (text, face, size) =>
      text.split(" ").reduce((sum, word) => sum + wordWidth(open(face), word), spaces(open(face), text)) * size,
    capHeight: (face) => open(face).font.capHeight / open(face).font.unitsPerEm,
    stretches: (text, face) => stretchesOf(text, open(face).font, open(face).fallback),
  };
}

interface OpenFace {
  readonly font: fontkit.Font;
  readonly fallback: fontkit.Font;
  /** Width in ems by word. */
  readonly words: Map<string, number>;
}

function spaces(face: OpenFace, text: string): number {
  return (text.split(" ").length - 1) * remembered(face, " ");
}

function wordWidth(face: OpenFace, word: string): number {
  return word === "" ? 0 : remembered(face, word);
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
