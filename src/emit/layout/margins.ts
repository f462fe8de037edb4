import { MILLIMETRE, type Paper } from "./paper.js";

/** Which edge is bound: that margin is wider. `mirrored` binds right on even pages. */
export type Binding = "left" | "mirrored" | "top" | "none";

/** In points. */
export interface Margins {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

/**
 * CAP 676: room for a binding and a thumb; 15 mm is from memory. Papers below A5 are bound by a ring at a corner and need less. Every
 * other margin is at least 6 mm, so that a fold or a cut between two cards of a sheet never comes near the text. `page` counts from 1.
 */
export function marginsOf(paper: Paper, binding: Binding, page: number): Margins {
  const narrow = Math.min(paper.width, paper.height) / MILLIMETRE;
  const outer = Math.min(11, Math.max(6, narrow * 0.055)) * MILLIMETRE;
  const bound = (narrow < 120 ? 10 : 15) * MILLIMETRE;
  const plain = { left: outer, right: outer, top: outer, bottom: outer };
  if (binding === "none") return plain;
  if (binding === "top") return { ...plain, top: bound };
  return binding === "mirrored" && page % 2 === 0 ? { ...plain, right: bound } : { ...plain, left: bound };
}
