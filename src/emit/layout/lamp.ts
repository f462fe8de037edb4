import type { Colour } from "../../program/system.js";
import type { Lamp } from "../card/content.js";
import { INK, type Mark } from "../drawing/marks.js";
import { body, markSize, type Setting } from "./setting.js";
import { speaker } from "./signs.js";
import { type Word, wordsOf } from "./words.js";

/** Fill of a lamp and its letter: at least 4.5 to 1 (WCAG 2), so that it also reads in grey. */
export const LAMPS: Readonly<Record<Colour, { readonly fill: string; readonly letter: string }>> = {
  red: { fill: "#c00000", letter: "#ffffff" },
  amber: { fill: "#ffbf00", letter: "#000000" },
  green: { fill: "#007a2f", letter: "#ffffff" },
  blue: { fill: "#0046c8", letter: "#ffffff" },
  white: { fill: "#ffffff", letter: "#000000" },
  cyan: { fill: "#7fe3f0", letter: "#000000" },
};

const NO_COLOUR = { fill: "#ffffff", letter: "#000000" } as const;

/** A lamp with its letter. `x`, `y` is its middle, `size` its diameter. */
export function lampMarks(
  setting: Setting,
  lamp: Pick<Lamp, "colour" | "sound">,
  x: number,
  y: number,
  size: number,
): readonly Mark[] {
  if (lamp.sound) return speaker(x, y, size);
  const { fill, letter } = lamp.colour ? LAMPS[lamp.colour] : NO_COLOUR;
  const type = size * 0.62;
  const text = lamp.colour?.charAt(0).toUpperCase() ?? "?";
  const high = setting.measure.capHeight("bold") * type;
  return [
    { kind: "circle", x, y, radius: size / 2 - 0.5, fill, stroke: INK, weight: 0.9 },
    {
      kind: "text",
      x: x - setting.measure.width(text, "bold", type) / 2,
      y: y + high / 2,
      text,
      face: "bold",
      size: type,
      anchor: "start",
      fill: letter,
    },
  ];
}

/** The name of a lamp, and for which ships it is. */
export function lampWords(setting: Setting, lamp: Lamp): readonly Word[] {
  const name = wordsOf(setting.measure, `${lamp.label}${lamp.sound ? " sounds" : ""}`, body(setting));
  return lamp.only
    ? [...name, ...wordsOf(setting.measure, `(${lamp.only})`, { face: "regular", size: markSize(setting) })]
    : name;
}

/** Diameter of a lamp in points: its letter is no smaller than the least type. */
export function lampSize(setting: Setting): number {
  return setting.profile.body * 1.36;
}

/** Height of a row of lamps. */
export function rowHeight(setting: Setting): number {
  return setting.profile.body * 1.55;
}
