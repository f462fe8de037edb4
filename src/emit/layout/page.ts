import type { Mark } from "../drawing/marks.js";
import { moved } from "./move.js";
import type { Content } from "./piece.js";

/** A finished page: what to draw, in reading order, in points from the top left corner. */
export interface Page {
  readonly width: number;
  readonly height: number;
  readonly contents: readonly Content[];
  /** What stands on it: one card, or several on a sheet that is cut apart. */
  readonly parts: readonly PagePart[];
}

/** One page of a card, or of what a book adds, with its place on the sheet. */
export interface PagePart {
  /** Id of the card; empty for the pages that a book adds. */
  readonly card: string;
  /** Counted within the card, from 1. */
  readonly number: number;
  readonly x: number;
  readonly y: number;
}

/** Black crop marks and the like are drawn in points outside of what is kept. */
export function partOf(
  page: Page,
  x: number,
  y: number,
): { readonly contents: readonly Content[]; readonly parts: readonly PagePart[] } {
  return {
    contents: page.contents.map((content) => moved(content, x, y)),
    parts: page.parts.map((part) => ({ ...part, x: part.x + x, y: part.y + y })),
  };
}

export function decorationOf(marks: readonly Mark[]): Content {
  return { purpose: "frame", marks };
}
