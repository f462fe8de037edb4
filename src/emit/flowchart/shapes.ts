import { unreachable } from "../../invariant.js";
import type { Face } from "../drawing/marks.js";
import { wrap } from "../drawing/wrap.js";
import { diamond } from "./diamond.js";
import type { FlowNode } from "./flow.js";
import type { Grid } from "./grid.js";
import { type Paragraph, paragraphsOf, type Row, type Sized } from "./text.js";

/** How large the shape must be to hold its text, measured with the real face. */
export function sizeOf(node: FlowNode, grid: Grid): Sized {
  const known = grid.sizes.get(node);
  if (known) return known;
  const size = measured(node, grid);
  grid.sizes.set(node, size);
  return size;
}

function measured(node: FlowNode, grid: Grid): Sized {
  switch (node.shape) {
    case "joint":
      return { width: grid.joint, height: grid.joint, rows: [], rules: [] };
    case "bar":
      return { width: grid.box, height: 0.4 * grid.size, rows: [], rules: [] };
    case "connector":
      return centred({ ...node, head: "" }, grid, 2.3 * grid.size, 2.3 * grid.size);
    case "decision":
      return diamond(node, grid);
    case "start":
    case "end":
    case "aside":
      return centred(node, grid, grid.box, 2.2 * grid.size);
    case "process":
    case "predefined":
      return box(node, grid);
    default:
      return unreachable(node.shape);
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
  for (const paragraph of paragraphsOf(node)) {
    hangingRows(paragraph, whole - indent, grid).forEach((text, index) => {
      put(text, paragraph.face, left + indent + (index > 0 ? paragraph.hang * grid.size : 0));
      y += grid.line;
    });
  }
  return { width: grid.box, height: Math.max(y, grid.pad + grid.line) + grid.pad - 0.25 * grid.size, rows, rules };
}

/** The lines of a paragraph, of which all but the first stand in a little where several things are listed. */
function hangingRows(paragraph: Paragraph, limit: number, grid: Grid): readonly string[] {
  const width = (text: string) => grid.measure.width(text, paragraph.face, grid.size);
  if (width(paragraph.text) <= limit) return [paragraph.text];
  const style = { face: paragraph.face, size: grid.size };
  return wrap(paragraph.text, limit - paragraph.hang * grid.size, style, grid.measure);
}

/** Text in the middle of a shape with round ends. */
function centred(node: FlowNode, grid: Grid, width: number, least: number): Sized {
  const numbered = node.number ? [`${node.number} ${node.text[0] ?? ""}`, ...node.text.slice(1)] : node.text;
  const limit = Math.max(width - 2 * grid.size, 2 * grid.size);
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
