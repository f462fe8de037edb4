import type { Face } from "../drawing/marks.js";
import { wrap } from "../drawing/wrap.js";
import type { FlowNode } from "./flow.js";
import type { Grid } from "./grid.js";

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

/** How large the shape must be to hold its text, measured with the real face. */
export function sizeOf(node: FlowNode, grid: Grid): Sized {
  switch (node.shape) {
    case "joint":
      return { width: grid.joint, height: grid.joint, rows: [], rules: [] };
    case "bar":
      return { width: grid.box, height: 0.4 * grid.size, rows: [], rules: [] };
    case "connector":
      return centred(node, grid, 2.2 * grid.size, 2.2 * grid.size);
    case "decision":
      return diamond(node, grid);
    case "start":
    case "end":
    case "aside":
      return centred(node, grid, grid.box, 2.2 * grid.size);
    case "process":
    case "predefined":
      return box(node, grid);
  }
}

function box(node: FlowNode, grid: Grid): Sized {
  const bars = node.shape === "predefined" ? 0.7 * grid.size : 0;
  const left = -grid.box / 2 + grid.pad + bars;
  const whole = grid.box - 2 * (grid.pad + bars);
  const numberWidth = node.number ? grid.measure.width(node.number, "bold", grid.size) + 0.5 * grid.size : 0;
  const indent = Math.max(grid.numbers, numberWidth);
  const rows: Row[] = [];
  const rules: number[] = [];
  let y = grid.pad;
  const put = (text: string, face: Face, x: number): void => {
    rows.push({ text, face, size: grid.size, x, y: y + 0.95 * grid.size, anchor: "start" });
  };
  for (const alert of node.alerts) {
    for (const text of wrap(alert, whole, { face: "bold", size: grid.size }, grid.measure)) {
      put(text, "bold", left);
      y += grid.line;
    }
    rules.push(y + 0.2 * grid.size);
    y += 0.5 * grid.size;
  }
  if (node.number) put(node.number, "bold", left);
  for (const [text, face] of paragraphs(node)) {
    for (const row of wrap(text, whole - indent, { face, size: grid.size }, grid.measure)) {
      put(row, face, left + indent);
      y += grid.line;
    }
  }
  return { width: grid.box, height: Math.max(y, grid.pad + grid.line) + grid.pad - 0.25 * grid.size, rows, rules };
}

function paragraphs(node: FlowNode): readonly (readonly [string, Face])[] {
  const head: readonly (readonly [string, Face])[] = node.head ? [[node.head, "italic"]] : [];
  return [...head, ...node.text.map((text) => [text, "regular"] as const)];
}

/** Text in the middle of a shape with round ends. */
function centred(node: FlowNode, grid: Grid, width: number, least: number): Sized {
  const numbered = node.number ? [`${node.number}  ${node.text[0] ?? ""}`, ...node.text.slice(1)] : node.text;
  const limit = Math.max(width - 2 * grid.size, grid.size);
  const lines = [...(node.head ? [node.head] : []), ...numbered].flatMap((text) =>
    wrap(text, limit, { face: "regular", size: grid.size }, grid.measure),
  );
  const height = Math.max(least, lines.length * grid.line + 1.1 * grid.size);
  const top = (height - lines.length * grid.line) / 2;
  const rows = lines.map((text, index): Row => {
    return {
      text,
      face: "regular",
      size: grid.size,
      x: 0,
      y: top + index * grid.line + 0.95 * grid.size,
      anchor: "middle",
    };
  });
  return { width, height, rows, rules: [] };
}

/** The flattest diamond of the column's width that holds its lines, over several ways of breaking them. */
function diamond(node: FlowNode, grid: Grid): Sized {
  const candidates = [0.8, 0.72, 0.64, 0.56, 0.48].map((part) => diamondRows(node, grid, part * grid.box));
  const best = candidates.reduce((flattest, next) => (next.height < flattest.height ? next : flattest));
  const top = (best.height - best.lines.length * grid.line) / 2;
  const rows = best.lines.map(({ text, face }, index): Row => {
    return { text, face, size: grid.size, x: 0, y: top + index * grid.line + 0.95 * grid.size, anchor: "middle" };
  });
  return { width: grid.box, height: best.height, rows, rules: [] };
}

interface DiamondRows {
  readonly lines: readonly { readonly text: string; readonly face: Face; readonly width: number }[];
  readonly height: number;
}

function diamondRows(node: FlowNode, grid: Grid, limit: number): DiamondRows {
  const all: readonly (readonly [string, Face])[] = [
    ...(node.number ? [[node.number, "bold"] as const] : []),
    ...paragraphs(node),
  ];
  const lines = all.flatMap(([paragraph, face]) =>
    wrap(paragraph, limit, { face, size: grid.size }, grid.measure).map((text) => ({
      text,
      face,
      width: grid.measure.width(text, face, grid.size),
    })),
  );
  const middle = (lines.length * grid.line) / 2;
  const heights = lines.map((line, index) => {
    const upper = Math.abs(index * grid.line + 0.2 * grid.size - middle);
    const lower = Math.abs((index + 1) * grid.line - 0.05 * grid.size - middle);
    return (2 * Math.max(upper, lower)) / Math.max(0.02, 1 - (line.width + 0.6 * grid.size) / grid.box);
  });
  return { lines, height: Math.max(3 * grid.size, ...heights) };
}
