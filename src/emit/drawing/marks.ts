/** Marks of a drawing, in points (1/72 inch) from the top left corner, y downwards. Every writer only draws these. */
export type Mark = RectMark | PathMark | CircleMark | TextMark | GroupMark;

export type Face = "regular" | "bold" | "italic";

/** How an outline is drawn. Without `stroke` there is no line, without `fill` no surface. Colours are `#rrggbb`. */
export interface Pen {
  readonly fill?: string;
  readonly stroke?: string;
  /** Width of the line in points; 1 where not given. */
  readonly weight?: number;
  /** Lengths of dash and gap in points. */
  readonly dash?: readonly number[];
}

export interface RectMark extends Pen {
  readonly kind: "rect";
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
  readonly radius?: number;
}

export interface CircleMark extends Pen {
  readonly kind: "circle";
  readonly x: number;
  readonly y: number;
  readonly radius: number;
}

/** Straight pieces and cubic curves; `close` joins the end to the beginning. */
export interface PathMark extends Pen {
  readonly kind: "path";
  readonly pieces: readonly PathPiece[];
}

export type PathPiece =
  | { readonly to: "move" | "line"; readonly x: number; readonly y: number }
  | {
      readonly to: "curve";
      readonly by: readonly [number, number, number, number];
      readonly x: number;
      readonly y: number;
    }
  | { readonly to: "close" };

/** One line of text; `x`, `y` is on the base line. `width` is what was measured, so that another face keeps to it. */
export interface TextMark {
  readonly kind: "text";
  readonly x: number;
  readonly y: number;
  readonly text: string;
  readonly face: Face;
  readonly size: number;
  readonly anchor: "start" | "middle" | "end";
  readonly fill: string;
}

/** Marks that belong together, with the words that a screen reader says for them. */
export interface GroupMark {
  readonly kind: "group";
  readonly title?: string;
  readonly marks: readonly Mark[];
}

/** A finished picture with what stands for it where it cannot be seen. */
export interface Drawing {
  /** Letters, digits and dashes; makes the ids inside the picture. */
  readonly id: string;
  readonly title: string;
  readonly description: string;
  readonly width: number;
  readonly height: number;
  readonly marks: readonly Mark[];
}

export const INK = "#000000";
export const PAPER = "#ffffff";
/** For what stands back: 7.0 to 1 on white (WCAG formula, `standards.md` P10). */
export const QUIET = "#595959";

export interface Point {
  readonly x: number;
  readonly y: number;
}

/** A line through points, open or closed. */
export function line(points: readonly Point[], pen: Pen, closed = false): PathMark {
  const pieces = points.map(
    (point, index): PathPiece => ({ to: index === 0 ? "move" : "line", x: point.x, y: point.y }),
  );
  return { kind: "path", pieces: closed ? [...pieces, { to: "close" }] : pieces, ...pen };
}
