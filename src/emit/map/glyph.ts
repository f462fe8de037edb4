import { type Face, INK, type Mark, PAPER, QUIET, type TextMark } from "../drawing/marks.js";
import type { Measure } from "../drawing/measure.js";
import { LAMPS } from "../layout/lamp.js";
import { speaker } from "../layout/signs.js";
import { type Cell, fitText } from "./cell.js";
import type { Box } from "./near.js";
import type { Spot } from "./site.js";

/** What a thing looks like on the map. */
export interface GlyphStyle {
  readonly measure: Measure;
  /** Points in a millimetre of the drawing. */
  readonly scale: number;
  readonly size: number;
  /** What this procedure does not touch stands back. */
  readonly used: boolean;
  /** A numbered sign stands on it, in the place of its own. */
  readonly badged: boolean;
  /** Where a control is left by the procedure, in its order; printed under the name. */
  readonly positions: readonly string[];
}

/** The face of a panel: 1.1 to 1 on white, so that words on it keep 19 to 1. */
export const PANEL = "#f4f4f4";

/** Half sides of a light's plate, in millimetres. */
export function plateOf(cell: Cell): { readonly half: number; readonly high: number } {
  return { half: Math.min(14.4, cell.half - 0.8), high: Math.min(5.2, cell.up - 0.8) };
}

/** A light is a plate with its letter, a gauge a dial, a control a knob, its cover a frame around it. */
export function glyphMarks(spot: Spot, cell: Cell, style: GlyphStyle): readonly Mark[] {
  if (spot.kind === "light") return plate(spot, cell, style);
  return [
    ...(spot.guarded ? [cover(spot, style)] : []),
    ...(style.badged ? [] : knob(spot, style)),
    ...nameBelow(spot, cell, style),
  ];
}

function ink(style: GlyphStyle): string {
  return style.used ? INK : QUIET;
}

function plate(spot: Spot, cell: Cell, style: GlyphStyle): readonly Mark[] {
  const { scale } = style;
  const { half, high } = plateOf(cell);
  const [x, y, width, height] = [(spot.x - half) * scale, (spot.y - high) * scale, 2 * half * scale, 2 * high * scale];
  const band = Math.min(0.9 * style.size, 0.2 * width);
  const weight = (style.used ? 0.1 : 0.05) * style.size;
  const frame: Mark = {
    kind: "rect",
    x,
    y,
    width,
    height,
    fill: PAPER,
    stroke: ink(style),
    weight,
    radius: 0.15 * style.size,
  };
  const room = { width: width - band - 0.5 * style.size, height: height - 0.1 * style.size };
  const text = fitText(spot.name, "regular", room, sizesOf(style), style.measure);
  const middle = { x: x + band + (width - band) / 2, y: y + height / 2 };
  return [
    frame,
    ...bandMarks(spot, { x, y, width: band, height }, style),
    ...rows(text.lines, text.size, "regular", middle, ink(style)),
  ];
}

/** Colour and letter, so that it reads without colour; a sound has a loudspeaker instead. */
function bandMarks(
  spot: Spot,
  box: { x: number; y: number; width: number; height: number },
  style: GlyphStyle,
): readonly Mark[] {
  const middle = { x: box.x + box.width / 2, y: box.y + box.height / 2 };
  if (spot.sound) return speaker(middle.x, middle.y, 1.1 * box.width);
  const lamp = spot.colour ? LAMPS[spot.colour] : undefined;
  const fill = style.used ? (lamp?.fill ?? PAPER) : PAPER;
  const letter = style.used ? (lamp?.letter ?? INK) : QUIET;
  const band: Mark = { kind: "rect", ...box, fill, stroke: ink(style), weight: 0.05 * style.size };
  const size = Math.min(0.75 * style.size, 0.85 * box.height, 1.1 * box.width);
  return [band, ...rows([spot.colour?.charAt(0).toUpperCase() ?? ""], size, "bold", middle, letter)];
}

function knob(spot: Spot, style: GlyphStyle): readonly Mark[] {
  const { scale, size } = style;
  const [x, y] = [spot.x * scale, spot.y * scale];
  const pen = { fill: PAPER, stroke: ink(style), weight: (style.used ? 0.12 : 0.06) * size };
  const radius = 3 * scale;
  const hand = spot.kind === "gauge" ? [-0.7, -0.5] : [0, -0.8];
  const marks: Mark[] = [
    { kind: "circle", x, y, radius, ...pen },
    {
      kind: "path",
      pieces: [
        { to: "move", x, y },
        { to: "line", x: x + (hand[0] ?? 0) * radius, y: y + (hand[1] ?? 0) * radius },
      ],
      stroke: ink(style),
      weight: 0.14 * size,
    },
  ];
  if (spot.kind === "gauge") marks.unshift({ kind: "circle", x, y, radius: radius + 0.22 * size, ...pen });
  return marks;
}

function cover(spot: Spot, style: GlyphStyle): Mark {
  const half = 4.4 * style.scale;
  const [x, y] = [spot.x * style.scale - half, spot.y * style.scale - half];
  const weight = (style.used ? 0.12 : 0.06) * style.size;
  return {
    kind: "rect",
    x,
    y,
    width: 2 * half,
    height: 2 * half,
    fill: PAPER,
    stroke: ink(style),
    weight,
    radius: 0.2 * style.size,
  };
}

/** Where the words under a thing stand, in points; nothing for a light, whose plate is itself the words. */
export function wordsBox(spot: Spot, cell: Cell, style: GlyphStyle): readonly Box[] {
  return spot.kind === "light" ? [] : [boxOf(wordsBelow(spot, cell, style), style)];
}

/** Over a ground of its own where the way of the hand must not strike it out. */
function nameBelow(spot: Spot, cell: Cell, style: GlyphStyle): readonly Mark[] {
  const words = wordsBelow(spot, cell, style);
  if (!style.used) return words;
  const box = boxOf(words, style);
  return [
    { kind: "rect", x: box.x0, y: box.y0, width: box.x1 - box.x0, height: box.y1 - box.y0, fill: PANEL },
    ...words,
  ];
}

/** The engraved name, and in bold where the control is left. */
function wordsBelow(spot: Spot, cell: Cell, style: GlyphStyle): readonly TextMark[] {
  const { scale, size, measure } = style;
  const [x, top] = [spot.x * scale, spot.y * scale + (spot.guarded ? 4.9 : 3.7) * scale];
  const room = { width: (2 * cell.half - 1.2) * scale, height: (cell.down - (spot.guarded ? 5 : 4)) * scale };
  const target = style.positions.join(", ");
  const share = target === "" ? 1 : 0.62;
  const name = fitText(spot.name, "regular", { ...room, height: room.height * share }, sizesOf(style), measure);
  const named = lines(name.lines, name.size, "regular", { x, top }, ink(style));
  if (target === "") return named;
  const used = name.lines.length * 1.15 * name.size;
  const left = { ...room, height: Math.max(room.height - used, 0.7 * size) };
  const where = fitText(target, "bold", left, sizesOf(style), measure);
  return [...named, ...lines(where.lines, where.size, "bold", { x, top: top + used }, ink(style))];
}

function boxOf(texts: readonly TextMark[], style: GlyphStyle): Box {
  const halves = texts.map((text) => style.measure.width(text.text, text.face, text.size) / 2 + 0.1 * style.size);
  return {
    x0: Math.min(...texts.map((text, index) => text.x - (halves[index] ?? 0))),
    y0: Math.min(...texts.map((text) => text.y - 0.85 * text.size)),
    x1: Math.max(...texts.map((text, index) => text.x + (halves[index] ?? 0))),
    y1: Math.max(...texts.map((text) => text.y + 0.28 * text.size)),
  };
}

function sizesOf(style: GlyphStyle): { readonly most: number; readonly least: number } {
  return { most: 0.9 * style.size, least: 0.6 * style.size };
}

/** Lines around a middle. */
function rows(
  texts: readonly string[],
  size: number,
  face: Face,
  middle: { readonly x: number; readonly y: number },
  fill: string,
): readonly TextMark[] {
  return lines(texts, size, face, { x: middle.x, top: middle.y - (texts.length * 1.15 * size) / 2 }, fill);
}

/** Lines from a top edge down. */
function lines(
  texts: readonly string[],
  size: number,
  face: Face,
  from: { readonly x: number; readonly top: number },
  fill: string,
): readonly TextMark[] {
  const said = texts.filter((text) => text !== "");
  return said.map((text, index) => {
    const y = from.top + (index * 1.15 + 0.92) * size;
    return { kind: "text", x: from.x, y, text, face, size, anchor: "middle", fill };
  });
}
