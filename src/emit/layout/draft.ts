import type { Mark, PathPiece } from "../drawing/marks.js";

type Point = readonly [number, number];
/** Letters as strokes in a box 0.62 wide and 1 high, y downwards. A list of points is a line; six numbers are a curve from the last point. */
type Stroke = readonly (Point | readonly [number, number, number, number, number, number])[];

const LETTERS: Readonly<Record<string, readonly Stroke[]>> = {
  D: [
    [
      [0, 0],
      [0, 1],
      [0.28, 1],
      [0.75, 1, 0.75, 0, 0.28, 0],
      [0, 0],
    ],
  ],
  R: [
    [
      [0, 1],
      [0, 0],
      [0.32, 0],
      [0.7, 0, 0.7, 0.52, 0.32, 0.52],
      [0, 0.52],
    ],
    [
      [0.28, 0.52],
      [0.62, 1],
    ],
  ],
  A: [
    [
      [0, 1],
      [0.31, 0],
      [0.62, 1],
    ],
    [
      [0.11, 0.66],
      [0.51, 0.66],
    ],
  ],
  F: [
    [
      [0, 1],
      [0, 0],
      [0.58, 0],
    ],
    [
      [0, 0.48],
      [0.48, 0.48],
    ],
  ],
  T: [
    [
      [0, 0],
      [0.62, 0],
    ],
    [
      [0.31, 0],
      [0.31, 1],
    ],
  ],
};

/** Light enough to read black type through: 15.9 to 1 (WCAG formula) for black on it. */
export const DRAFT_GREY = "#dedede";

/** The word DRAFT from corner to corner of a page, as strokes: no face is needed, and it lies under everything else. */
export function draftMarks(width: number, height: number): readonly Mark[] {
  const angle = -Math.atan2(height, width);
  const letters = [..."DRAFT"];
  const advance = 0.92;
  const scale = (Math.hypot(width, height) * 0.72) / (letters.length * advance);
  const left = (-(letters.length * advance - (advance - 0.62)) * scale) / 2;
  const place = (x: number, y: number): Point => [
    width / 2 + x * Math.cos(angle) - y * Math.sin(angle),
    height / 2 + x * Math.sin(angle) + y * Math.cos(angle),
  ];
  return letters.flatMap((letter, index) =>
    (LETTERS[letter] ?? []).map((stroke) =>
      strokeMark(stroke, (x, y) => place(left + (index * advance + x) * scale, (y - 0.5) * scale), scale),
    ),
  );
}

function strokeMark(stroke: Stroke, place: (x: number, y: number) => Point, scale: number): Mark {
  const pieces = stroke.map((step, index): PathPiece => {
    if (step.length === 6) {
      const [a, b, c, d, e, f] = step;
      const [[x1, y1], [x2, y2], [x, y]] = [place(a, b), place(c, d), place(e, f)];
      return { to: "curve", by: [x1, y1, x2, y2], x, y };
    }
    const [x, y] = place(step[0], step[1]);
    return { to: index === 0 ? "move" : "line", x, y };
  });
  return { kind: "path", pieces, stroke: DRAFT_GREY, weight: scale * 0.14 };
}
