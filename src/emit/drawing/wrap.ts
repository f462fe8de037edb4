import type { Face } from "./marks.js";
import type { Measure } from "./measure.js";

export interface Style {
  readonly face: Face;
  readonly size: number;
}

/**
 * Breaks a text into lines no wider than `limit` points, as few as can be and as even as can be, so that no word stands
 * alone where it need not. A word wider than the limit is cut.
 */
export function wrap(text: string, limit: number, style: Style, measure: Measure): readonly string[] {
  const words = wordsWithin(text, limit, style, measure);
  if (words.length === 0) return [];
  const widths = words.map((word) => measure.width(word, style.face, style.size));
  const space = measure.width(" ", style.face, style.size);
  const few = greedy(widths, space, limit);
  let low = Math.max(...widths);
  let high = limit;
  while (high - low > 0.5) {
    const middle = (low + high) / 2;
    if (greedy(widths, space, middle).length <= few.length) high = middle;
    else low = middle;
  }
  return greedy(widths, space, high).map(([from, to]) => words.slice(from, to).join(" "));
}

/** The words of a text, those wider than `limit` cut. */
export function wordsWithin(text: string, limit: number, style: Style, measure: Measure): readonly string[] {
  return wordsIn(text).flatMap((word) => fitting(word, limit, style, measure));
}

/** The words of a text; a number and its unit are one, `100 L`, and never come apart. */
function wordsIn(text: string): readonly string[] {
  const words: string[] = [];
  for (const word of text.split(/\s+/).filter(Boolean)) {
    const number = words.at(-1);
    if (number !== undefined && NUMBER.test(number) && UNIT.test(word) && !NO_UNITS.has(word)) {
      words[words.length - 1] = `${number} ${word}`;
    } else words.push(word);
  }
  return words;
}

const NUMBER = /^\(?[0-9][0-9.,]*$/;
const UNIT = /^[a-zA-Z°%µ]{1,4}[;:,.?!)]*$/;
/** Short words that follow a number without being its unit. */
const NO_UNITS: ReadonlySet<string> = new Set([
  "to",
  "and",
  "or",
  "of",
  "in",
  "is",
  "are",
  "not",
  "no",
  "at",
  "by",
  "for",
  "on",
  "off",
  "the",
  "done",
  "open",
  "more",
  "less",
  "with",
]);

/** Ranges of words, each line as full as it will go. */
function greedy(widths: readonly number[], space: number, limit: number): [number, number][] {
  const lines: [number, number][] = [];
  let from = 0;
  let used = 0;
  widths.forEach((width, index) => {
    if (index > from && used + space + width > limit) {
      lines.push([from, index]);
      from = index;
      used = width;
    } else used += (index > from ? space : 0) + width;
  });
  lines.push([from, widths.length]);
  return lines;
}

function fitting(word: string, limit: number, style: Style, measure: Measure): string[] {
  if (measure.width(word, style.face, style.size) <= limit) return [word];
  const pieces: string[] = [];
  let piece = "";
  for (const character of word) {
    if (piece !== "" && measure.width(piece + character, style.face, style.size) > limit) {
      pieces.push(piece);
      piece = "";
    }
    piece += character;
  }
  return [...pieces, piece];
}
