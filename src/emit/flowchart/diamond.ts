import type { Face } from "../drawing/marks.js";
import { wordsWithin } from "../drawing/wrap.js";
import type { FlowNode } from "./flow.js";
import type { Grid } from "./grid.js";
import { paragraphsOf, type Row, type Sized } from "./text.js";

/** The flattest diamond of the column's width that holds its text: short lines above and below, long ones in the middle. */
export function diamond(node: FlowNode, grid: Grid): Sized {
  const text = [...(node.number ? [{ text: node.number, face: "bold" as const }] : []), ...paragraphsOf(node)];
  const words = text.map((paragraph) => ({
    face: paragraph.face,
    space: grid.measure.width(" ", paragraph.face, grid.size),
    words: wordsWithin(paragraph.text, 0.6 * grid.box, { face: paragraph.face, size: grid.size }, grid.measure).map(
      (word) => ({ word, width: grid.measure.width(word, paragraph.face, grid.size) }),
    ),
  }));
  const best = LINES.reduce<Filled>((flat, lines) => flatter(words, lines, flat, grid), tall(words, grid));
  return { width: grid.box, height: best.height, rows: rowsOf(best, grid), rules: [] };
}

interface Words {
  readonly face: Face;
  /** The width of a space. */
  readonly space: number;
  readonly words: readonly { readonly word: string; readonly width: number }[];
}

interface Filled {
  readonly height: number;
  /** Lines that there is room for. */
  readonly slots: number;
  readonly lines: readonly { readonly text: string; readonly face: Face }[];
}

const LINES = Array.from({ length: 24 }, (_, index) => index + 1);

/** The least height at which so many lines hold the text, to a point, if that is flatter than `flat`. The last may stay empty. */
function flatter(text: readonly Words[], lines: number, flat: Filled, grid: Grid): Filled {
  let best = flat;
  let low = 3 * grid.size;
  let high = flat.height - 1;
  while (high - low > 1) {
    const middle = (low + high) / 2;
    const filled = fill(text, lines, middle, grid);
    if (filled) {
      best = filled;
      high = middle;
    } else low = middle;
  }
  return best;
}

/** Fills the lines of a diamond of that height from the top; undefined where they do not hold the words. */
function fill(text: readonly Words[], count: number, height: number, grid: Grid): Filled | undefined {
  const lines: { text: string; face: Face }[] = [];
  let room = 0;
  for (const { face, space, words } of text) {
    let used = 0;
    for (const [index, { word, width }] of words.entries()) {
      const last = lines.at(-1);
      if (index > 0 && last && used + space + width <= room) {
        last.text = `${last.text} ${word}`;
        used += space + width;
      } else {
        room = roomOf(lines.length, count, height, grid);
        if (width > room || lines.length === count) return undefined;
        lines.push({ text: word, face });
        used = width;
      }
    }
  }
  return { height, slots: count, lines };
}

/** How wide the diamond is where the letters of a line are; a capital stands 0.75 of the size high, a tail hangs 0.25 down. */
function roomOf(line: number, count: number, height: number, grid: Grid): number {
  const base = (line - count / 2) * grid.line + 0.95 * grid.size;
  const farthest = Math.max(Math.abs(base - 0.75 * grid.size), Math.abs(base + 0.25 * grid.size));
  return grid.box * (1 - (2 * farthest) / height) - 1.1 * grid.size;
}

/** More lines than anybody should have to read: a word on each, and as high as that makes it. */
function tall(text: readonly Words[], grid: Grid): Filled {
  const lines = text.flatMap(({ face, words }) => words.map(({ word }) => ({ text: word, face })));
  return { height: Math.max(6, lines.length * 5) * grid.size, slots: lines.length, lines };
}

function rowsOf(filled: Filled, grid: Grid): readonly Row[] {
  const top = (filled.height - filled.slots * grid.line) / 2;
  return filled.lines.map(({ text, face }, index) => ({
    text,
    face,
    size: grid.size,
    x: 0,
    y: top + index * grid.line + 0.95 * grid.size,
    anchor: "middle",
  }));
}
