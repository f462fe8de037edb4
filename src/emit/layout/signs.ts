import { INK, line, type Mark, PAPER, type Pen } from "../drawing/marks.js";

/** A triangle with an exclamation mark: filled for a warning, empty for a caution. `x`, `y` is its top left corner. */
export function alertSign(kind: "warning" | "caution", x: number, y: number, size: number): readonly Mark[] {
  const filled = kind === "warning";
  const pen: Pen = filled
    ? { fill: INK, stroke: INK, weight: size * 0.06 }
    : { fill: PAPER, stroke: INK, weight: size * 0.09 };
  const points = [
    { x: x + size / 2, y: y + size * 0.06 },
    { x: x + size * 0.97, y: y + size * 0.9 },
    { x: x + size * 0.03, y: y + size * 0.9 },
  ];
  const ink = filled ? PAPER : INK;
  return [
    line(points, pen, true),
    { kind: "rect", x: x + size * 0.45, y: y + size * 0.34, width: size * 0.1, height: size * 0.28, fill: ink },
    { kind: "rect", x: x + size * 0.45, y: y + size * 0.69, width: size * 0.1, height: size * 0.1, fill: ink },
  ];
}

/** A filled diamond: the mark of a line that must not be left out. `x`, `y` is its middle. */
export function diamond(x: number, y: number, size: number): Mark {
  const half = size / 2;
  return line(
    [
      { x, y: y - half },
      { x: x + half, y },
      { x, y: y + half },
      { x: x - half, y },
    ],
    { fill: INK },
    true,
  );
}

/** A filled triangle that points on: leads to another page or card. `x` is its left edge, `y` its middle. */
export function pointer(x: number, y: number, size: number): Mark {
  return line(
    [
      { x, y: y - size / 2 },
      { x: x + size * 0.8, y },
      { x, y: y + size / 2 },
    ],
    { fill: INK },
    true,
  );
}

/** A loudspeaker, for what is heard. `x`, `y` is its middle. */
export function speaker(x: number, y: number, size: number): readonly Mark[] {
  const s = size;
  const horn = line(
    [
      { x: x - s * 0.42, y: y - s * 0.16 },
      { x: x - s * 0.2, y: y - s * 0.16 },
      { x: x + s * 0.06, y: y - s * 0.4 },
      { x: x + s * 0.06, y: y + s * 0.4 },
      { x: x - s * 0.2, y: y + s * 0.16 },
      { x: x - s * 0.42, y: y + s * 0.16 },
    ],
    { fill: INK },
    true,
  );
  return [horn, wave(x + s * 0.14, y, s * 0.16, s), wave(x + s * 0.14, y, s * 0.32, s)];
}

function wave(x: number, y: number, reach: number, size: number): Mark {
  return {
    kind: "path",
    pieces: [
      { to: "move", x: x + reach * 0.5, y: y - reach },
      {
        to: "curve",
        by: [x + reach * 1.25, y - reach * 0.4, x + reach * 1.25, y + reach * 0.4],
        x: x + reach * 0.5,
        y: y + reach,
      },
    ],
    stroke: INK,
    weight: size * 0.08,
  };
}
