import { unreachable } from "../../invariant.js";
import { INK, line, type Mark, PAPER, type Pen, type Point, QUIET, type TextMark } from "../drawing/marks.js";
import type { Grid } from "./grid.js";
import type { Box, Label, Piece, Wire } from "./piece.js";
import type { Row } from "./text.js";

/** The marks of a laid-out chart: lines first, then shapes over their ends, then words. */
export function marksOf(chart: Piece, grid: Grid): readonly Mark[] {
  return [
    ...chart.wires.flatMap((wire) => wireMarks(wire, grid)),
    ...chart.boxes.map((box) => boxMarks(box, grid)),
    ...chart.labels.flatMap((label) => labelMarks(label, grid)),
  ];
}

function wireMarks(wire: Wire, grid: Grid): readonly Mark[] {
  const pen: Pen = {
    stroke: INK,
    weight: 0.09 * grid.size,
    ...(wire.broken ? { dash: [0.35 * grid.size, 0.25 * grid.size] } : {}),
  };
  const end = wire.points.at(-1);
  const before = wire.points.at(-2);
  if (!wire.arrow || !end || !before) return [line(wire.points, pen)];
  const back = towards(end, before, grid.arrow);
  return [line([...wire.points.slice(0, -1), back], pen), arrowHead(end, before, grid)];
}

function towards(from: Point, to: Point, by: number): Point {
  const length = Math.hypot(to.x - from.x, to.y - from.y) || 1;
  return { x: from.x + ((to.x - from.x) / length) * by, y: from.y + ((to.y - from.y) / length) * by };
}

function arrowHead(tip: Point, from: Point, grid: Grid): Mark {
  const back = towards(tip, from, grid.arrow);
  const across = { x: (tip.y - back.y) * 0.36, y: (back.x - tip.x) * 0.36 };
  return line(
    [tip, { x: back.x + across.x, y: back.y + across.y }, { x: back.x - across.x, y: back.y - across.y }],
    { fill: INK },
    true,
  );
}

function boxMarks(box: Box, grid: Grid): Mark {
  const title = [box.node.number, box.node.head, ...box.node.text].filter(Boolean).join(" ");
  const rules = box.rules.map((y) =>
    line(
      [
        { x: box.x - box.width / 2, y: box.y + y },
        { x: box.x + box.width / 2, y: box.y + y },
      ],
      { stroke: INK, weight: 0.06 * grid.size },
    ),
  );
  const marks = [...outline(box, grid), ...rules, ...box.rows.map((row) => rowMark(box, row))];
  return { kind: "group", ...(title ? { title } : {}), marks };
}

function outline(box: Box, grid: Grid): readonly Mark[] {
  const left = box.x - box.width / 2;
  const pen: Pen = { fill: PAPER, stroke: INK, weight: (box.node.heavy ? 0.2 : 0.1) * grid.size };
  const rect = { kind: "rect", x: left, y: box.y, width: box.width, height: box.height, ...pen } as const;
  switch (box.node.shape) {
    case "process":
      return [rect];
    case "predefined":
      return [rect, ...sideBars(box, grid)];
    case "start":
    case "end":
      return [{ ...rect, radius: Math.min(box.height / 2, 1.3 * grid.size) }];
    case "aside":
      return [{ ...rect, radius: Math.min(box.height / 2, 1.3 * grid.size), weight: 0.22 * grid.size }];
    case "decision":
      return [diamond(box, pen)];
    case "connector":
      return [{ kind: "circle", x: box.x, y: box.y + box.height / 2, radius: box.height / 2, ...pen }];
    case "joint":
      return [{ kind: "circle", x: box.x, y: box.y + box.height / 2, radius: box.height / 2, fill: INK }];
    case "bar":
      return parallelBar(box, grid);
    default:
      return unreachable(box.node.shape);
  }
}

function sideBars(box: Box, grid: Grid): readonly Mark[] {
  return [-1, 1].map((side) => {
    const x = box.x + side * (box.width / 2 - 0.6 * grid.size);
    return line(
      [
        { x, y: box.y },
        { x, y: box.y + box.height },
      ],
      { stroke: INK, weight: 0.1 * grid.size },
    );
  });
}

function diamond(box: Box, pen: Pen): Mark {
  const middle = box.y + box.height / 2;
  const half = box.width / 2;
  return line(
    [
      { x: box.x, y: box.y },
      { x: box.x + half, y: middle },
      { x: box.x, y: box.y + box.height },
      { x: box.x - half, y: middle },
    ],
    pen,
    true,
  );
}

function parallelBar(box: Box, grid: Grid): readonly Mark[] {
  return [box.y, box.y + box.height].map((y) =>
    line(
      [
        { x: box.x - box.width / 2, y },
        { x: box.x + box.width / 2, y },
      ],
      { stroke: INK, weight: 0.12 * grid.size },
    ),
  );
}

function rowMark(box: Box, row: Row): TextMark {
  return {
    kind: "text",
    x: box.x + row.x,
    y: box.y + row.y,
    text: row.text,
    face: row.face,
    size: row.size,
    anchor: row.anchor,
    fill: INK,
  };
}

function labelMarks(label: Label, grid: Grid): readonly Mark[] {
  return label.lines.map((text, index) => ({
    kind: "text",
    x: label.x,
    y: label.y + index * grid.line,
    text,
    face: label.bold ? "bold" : "italic",
    size: grid.size,
    anchor: label.anchor,
    fill: label.bold ? QUIET : INK,
  }));
}
