import type { Mark } from "../drawing/marks.js";
import type { Tag } from "./structure.js";

/** What a group of marks is, for the checks of finished pages. */
export type Purpose =
  | "number"
  | "challenge"
  | "response"
  | "leader"
  | "alert"
  | "heading"
  | "text"
  | "lamp"
  | "foot"
  | "figure"
  | "frame"
  | "draft";

/** Marks with their place in the logical structure; without a tag they are decoration. */
export interface Content {
  readonly purpose: Purpose;
  readonly marks: readonly Mark[];
  readonly tag?: Tag;
  /** Name of the step that it belongs to. */
  readonly step?: string;
  readonly link?: Link;
}

/** A rectangle that leads to another card. */
export interface Link {
  readonly procedure: string;
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

/** One line of type or one row of lamps: what never comes apart. Coordinates from its own top left corner. */
export interface Row {
  readonly height: number;
  readonly contents: readonly Content[];
}

/** A row in the flow of a card, with the space around it and what a page break before it would cost. */
export interface Piece extends Row {
  readonly before: number;
  readonly after: number;
  readonly penalty: number;
  /** Open around it, outermost first. */
  readonly frames: readonly Frame[];
  readonly step?: string;
  readonly part: "alert" | "line" | "lead" | "heading" | "tail";
  readonly changed: boolean;
  readonly removedBefore: boolean;
}

/** Something drawn around a run of pieces, on every page that they come to. */
export interface Frame {
  readonly style: FrameStyle;
  readonly x: number;
  readonly width: number;
  /** Space that it keeps above and below what is inside. */
  readonly pad: number;
  /** What stands at the top of a page that begins inside it. */
  readonly continued?: Row;
}

export type FrameStyle =
  | "none"
  | "rail"
  | "double-rail"
  | "dashed-rail"
  | "box"
  | "dashed-box"
  | "memory"
  | "pause"
  | "warning"
  | "caution";

/** A break here costs more than any number of pages: it happens only where a page cannot hold the whole. */
export const NEVER = 1e7;
export const RATHER_NOT = 400;
/** Worth a page more: what is counted as a whole, or a line that goes on without a number. */
export const WHOLE = 9000;

/** Rows of one thing in the flow; only before the first may a page break. */
export function pieces(rows: readonly Row[], more: Pick<Piece, "part"> & Partial<Piece>): readonly Piece[] {
  return rows.map((row, index) => ({
    before: index === 0 ? (more.before ?? 0) : 0,
    after: 0,
    frames: [],
    changed: false,
    ...more,
    ...row,
    removedBefore: index === 0 && (more.removedBefore ?? false),
    penalty: index === 0 ? (more.penalty ?? 0) : NEVER,
    ...(index === 0 ? {} : { before: 0 }),
  }));
}

/** The pieces with a frame around them all. */
export function enclose(inside: readonly Piece[], frame: Frame): readonly Piece[] {
  return inside.map((piece, index) => ({
    ...piece,
    frames: [frame, ...piece.frames],
    before: piece.before + (index === 0 ? frame.pad : 0),
    after: piece.after + (index === inside.length - 1 ? frame.pad : 0),
  }));
}

/** The pieces with the first changed: its space before, its penalty. */
export function withFirst(inside: readonly Piece[], change: (piece: Piece) => Partial<Piece>): readonly Piece[] {
  const [first, ...rest] = inside;
  return first ? [{ ...first, ...change(first) }, ...rest] : inside;
}
