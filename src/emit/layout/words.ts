import { type Face, INK, type Mark } from "../drawing/marks.js";
import type { Measure } from "../drawing/measure.js";

export interface Style {
  readonly face: Face;
  readonly size: number;
  readonly fill?: string;
  /** With a frame around it: the mark of a crew member. */
  readonly boxed?: boolean;
  /** Points above the base line. */
  readonly raise?: number;
}

/** One word to set; `width` is in points and takes in the frame of a boxed one. */
export interface Word extends Style {
  readonly text: string;
  readonly width: number;
}

const BOX_PAD = 0.28;

/** The words of a text in one style; a number and its unit are one word, as a line must not end between them. */
export function wordsOf(measure: Measure, text: string, style: Style): readonly Word[] {
  return text
    .split(" ")
    .filter((word) => word !== "")
    .reduce<readonly string[]>(joined, [])
    .map((word) => wordOf(measure, word, style));
}

function joined(words: readonly string[], next: string): readonly string[] {
  const last = words.at(-1) ?? "";
  return NUMBER.test(last) && UNIT.test(next) ? [...words.slice(0, -1), `${last} ${next}`] : [...words, next];
}

const NUMBER = /^[^\p{L}\d]?\d[\d.,]*$/u;

/** Symbols as people write them behind a number; a unit that is missing here may stand on the next line, no more. */
const UNIT =
  /^(?:s|min|h|d|%|mm|cm|m|km|in|ft|nmi|NM|g|kg|t|lb|oz|L|mL|gal|Pa|hPa|kPa|MPa|bar|mbar|psi|inHg|degC|degF|°C|°F|deg|°|K|V|kV|mV|A|mA|kA|W|kW|MW|Hz|kHz|MHz|rpm|kt|kn|km\/h|m\/s|ft\/min|N|kN|Nm|L\/min|L\/h|lb\/h|kg\/h)\p{P}*$/u;

/** One word, or several that must stay on one line. */
export function wordOf(measure: Measure, text: string, style: Style): Word {
  const width = measure.width(text, style.face, style.size) + (style.boxed ? 2 * BOX_PAD * style.size : 0);
  return { ...style, text, width };
}

export function lineWidth(measure: Measure, words: readonly Word[]): number {
  return words.reduce((sum, word, index) => sum + word.width + (index > 0 ? gapBefore(measure, word) : 0), 0);
}

export function gapBefore(measure: Measure, word: Word): number {
  return measure.width(" ", word.face, word.boxed ? word.size * 1.1 : word.size);
}

/** The marks of one line whose base line begins at `x`, `y`; neighbouring words of one style are one piece of text. */
export function lineMarks(measure: Measure, words: readonly Word[], x: number, y: number): readonly Mark[] {
  const marks: Mark[] = [];
  let at = x;
  for (let index = 0; index < words.length; ) {
    const word = words[index];
    if (!word) break;
    let next = index + 1;
    while (next < words.length && !word.boxed && sameStyle(word, words[next])) next += 1;
    const run = words.slice(index, next);
    if (index > 0) at += gapBefore(measure, word);
    marks.push(...(word.boxed ? boxedMarks(measure, word, at, y) : [textMark(run, at, y)]));
    at += lineWidth(measure, run);
    index = next;
  }
  return marks;
}

function sameStyle(a: Word, b: Word | undefined): boolean {
  return (
    b !== undefined && !b.boxed && a.face === b.face && a.size === b.size && a.fill === b.fill && a.raise === b.raise
  );
}

function textMark(words: readonly Word[], x: number, y: number): Mark {
  const { face = "regular", size = 0, fill = INK, raise = 0 } = words[0] ?? {};
  return {
    kind: "text",
    x,
    y: y - raise,
    text: words.map((word) => word.text).join(" "),
    face,
    size,
    anchor: "start",
    fill,
  };
}

function boxedMarks(measure: Measure, word: Word, x: number, y: number): readonly Mark[] {
  const pad = BOX_PAD * word.size;
  const high = measure.capHeight(word.face) * word.size;
  const frame: Mark = {
    kind: "rect",
    x: x + 0.4,
    y: y - high - pad * 0.8,
    width: word.width - 0.8,
    height: high + pad * 1.6,
    radius: pad * 0.6,
    stroke: word.fill ?? INK,
    weight: 0.8,
  };
  return [frame, textMark([word], x + pad, y)];
}
