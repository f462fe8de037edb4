import type { Face } from "../drawing/marks.js";
import type { FlowNode } from "./flow.js";

/** A line of text in a shape: `x` from the middle, `y` of the base line from the top. */
export interface Row {
  readonly text: string;
  readonly face: Face;
  readonly size: number;
  readonly x: number;
  readonly y: number;
  readonly anchor: "start" | "middle";
}

/** A shape with its text, not yet in its place. `rules` are thin lines across it, from the top. */
export interface Sized {
  readonly width: number;
  readonly height: number;
  readonly rows: readonly Row[];
  readonly rules: readonly number[];
}

/** Text that begins on a line of its own; `hang`: how far its later lines stand in, in sizes. */
export interface Paragraph {
  readonly text: string;
  readonly face: Face;
  readonly hang: number;
}

/** Who does it in italics, then the text; several paragraphs are told apart by their later lines. */
export function paragraphsOf(node: FlowNode): readonly Paragraph[] {
  const head: readonly Paragraph[] = node.head ? [{ text: node.head, face: "italic", hang: 0 }] : [];
  const hang = node.text.length > 1 ? 0.9 : 0;
  return [...head, ...node.text.map((text): Paragraph => ({ text, face: "regular", hang }))];
}
