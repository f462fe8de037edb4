import type { Measure } from "../drawing/measure.js";
import { gapBefore, type Word, wordOf } from "./words.js";

const graphemes = new Intl.Segmenter("en", { granularity: "grapheme" });

/**
 * Breaks words into lines no wider than `limit`, the last no wider than `lastLimit`: as few lines as can be, as even as can be,
 * and no single word on the last where it can be helped. A word wider than its line is cut. Never empty.
 */
export function breakWords(
  measure: Measure,
  words: readonly Word[],
  limit: number,
  lastLimit = limit,
  fit: Fit = "even",
): readonly (readonly Word[])[] {
  const whole = words.flatMap((word, index) => cutWord(measure, word, index === words.length - 1 ? lastLimit : limit));
  if (whole.length === 0) return [[]];
  const gaps = whole.map((word) => gapBefore(measure, word));
  const starts = bestStarts(whole, gaps, { limit, lastLimit, fit });
  const lines: Word[][] = [];
  for (let end = whole.length; end > 0; end = starts[end] ?? 0) lines.unshift(whole.slice(starts[end] ?? 0, end));
  return lines;
}

/** `even`: all lines as long as each other, for a challenge or a title. `full`: all but the last as long as can be, for prose. */
export type Fit = "even" | "full";

interface Limits {
  readonly limit: number;
  readonly lastLimit: number;
  readonly fit: Fit;
}

const LINE = 1e9;

/** For each count of words, where the last line of its best setting starts. */
function bestStarts(
  words: readonly Word[],
  gaps: readonly number[],
  { limit, lastLimit, fit }: Limits,
): readonly number[] {
  const costs = [0];
  const starts = [0];
  for (let end = 1; end <= words.length; end += 1) {
    const last = end === words.length;
    const room = last ? lastLimit : limit;
    let width = 0;
    let best = Number.POSITIVE_INFINITY;
    let from = end - 1;
    for (let start = end - 1; start >= 0; start -= 1) {
      width += (words[start]?.width ?? 0) + (start < end - 1 ? (gaps[start + 1] ?? 0) : 0);
      if (width > room && start < end - 1) break;
      const alone = last && start === end - 1 && start > 0 ? limit * limit : 0;
      const over = width > room + 0.01 ? LINE * 100 : 0;
      const ragged = last && fit === "full" ? 0 : (limit - width) ** 2;
      const cost = (costs[start] ?? 0) + LINE + ragged + alone + over;
      if (cost < best) {
        best = cost;
        from = start;
      }
    }
    costs.push(best);
    starts.push(from);
  }
  return starts;
}

function cutWord(measure: Measure, word: Word, limit: number): readonly Word[] {
  if (word.width <= limit || word.boxed) return [word];
  const pieces: Word[] = [];
  let text = "";
  for (const { segment } of graphemes.segment(word.text)) {
    if (text !== "" && wordOf(measure, text + segment, word).width > limit) {
      pieces.push(wordOf(measure, text, word));
      text = "";
    }
    text += segment;
  }
  return [...pieces, wordOf(measure, text, word)];
}
