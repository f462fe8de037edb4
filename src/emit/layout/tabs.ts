import { INK, type Mark, PAPER } from "../drawing/marks.js";
import type { Paper } from "./paper.js";
import type { Setting } from "./setting.js";

/** Where a card's category comes among those of the book. */
export interface Tab {
  readonly letter: string;
  readonly index: number;
  readonly count: number;
}

const DEEPEST = 14;

/** A thumb index: the category's letter in black at the outer edge, each category lower than the one before. */
export function tabMarks(setting: Setting, paper: Paper, tab: Tab, left: boolean): readonly Mark[] {
  const { measure, profile } = setting;
  const deep = Math.min(DEEPEST, (paper.width - setting.width) / 2 - 8);
  const room = paper.height * 0.8;
  const height = Math.min(room / Math.max(1, tab.count), 60);
  const y = paper.height * 0.1 + (tab.index * room) / Math.max(1, tab.count);
  const x = left ? 0 : paper.width - deep;
  const size = Math.min(profile.small, deep * 0.8);
  const wide = measure.width(tab.letter, "bold", size);
  return [
    { kind: "rect", x, y, width: deep, height, fill: INK },
    {
      kind: "text",
      x: x + (deep - wide) / 2,
      y: y + height / 2 + size * 0.37,
      text: tab.letter,
      face: "bold",
      size,
      anchor: "start",
      fill: PAPER,
    },
  ];
}
