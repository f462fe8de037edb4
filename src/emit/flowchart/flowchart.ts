import { invariant } from "../../invariant.js";
import type { Procedure } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";
import { everyStep } from "../card/walk.js";
import type { Words } from "../card/wording.js";
import type { Drawing, Mark } from "../drawing/marks.js";
import { INK, QUIET } from "../drawing/marks.js";
import type { Measure } from "../drawing/measure.js";
import { type SvgOptions, svgOf } from "../drawing/svg.js";
import { flowOf } from "./build.js";
import { marksOf } from "./draw.js";
import { type Grid, gridOf } from "./grid.js";
import { layout } from "./layout.js";
import { moved, type Piece, type Rect } from "./piece.js";

export interface FlowchartOptions extends SvgOptions {
  readonly measure: Measure;
  /** Type size in points; 10 where not given, the least that CAP 676 allows for body text. */
  readonly size?: number;
  /** How far right of the spine the chart may reach, in points, before it grows downwards instead. */
  readonly room?: number;
  /** Lines that stand under the chart: the caution, and what an example adds. */
  readonly cautions: readonly string[];
}

/** The flowchart of a procedure as one SVG picture, as large as it needs to be. */
export function flowchartSvg(program: Program, procedure: Procedure, options: FlowchartOptions): string {
  return svgOf(flowchartDrawing(program, procedure, options), options);
}

/** The same as marks, for the PDF. */
export function flowchartDrawing(program: Program, procedure: Procedure, options: FlowchartOptions): Drawing {
  const grid = gridOf(options.measure, options.size ?? 10);
  const chart = layoutProcedure(program, procedure, grid, options.room ?? 45 * grid.size);
  return framed(procedure, chart, grid, options.cautions);
}

/** The chart of a procedure in its own coordinates, for those who draw or check it. */
export function layoutProcedure(program: Program, procedure: Procedure, grid: Grid, room: number): Piece {
  const chart = layout(flowOf(program, procedure, wordsOf(program, procedure)), grid, room);
  invariant(chart, "a flow begins with its start");
  return chart;
}

/** The chart in the middle of the picture, with its name above and the cautions below. */
function framed(procedure: Procedure, chart: Piece, grid: Grid, cautions: readonly string[]): Drawing {
  const margin = 2 * grid.size;
  const bounds = boundsOf(chart.rects);
  const head = headLines(procedure);
  const foot = cautions.map((text) => ({ text, size: 0.9 * grid.size }));
  const lineWidth = (text: string, bold: boolean, size: number) =>
    grid.measure.width(text, bold ? "bold" : "regular", size);
  const inner = Math.max(
    bounds.x1 - bounds.x0,
    ...head.map((row) => lineWidth(row.text, row.bold, row.size * grid.size)),
    ...foot.map((row) => lineWidth(row.text, false, row.size)),
  );
  const width = inner + 2 * margin;
  const headHeight = head.reduce((sum, row) => sum + 1.4 * row.size * grid.size, 0) + grid.size;
  const dx = (width - (bounds.x1 - bounds.x0)) / 2 - bounds.x0;
  const dy = margin + headHeight - bounds.y0;
  const height = dy + bounds.y1 + 1.5 * grid.size + foot.length * 1.25 * grid.size + margin;
  const marks: Mark[] = [];
  let y = margin;
  for (const row of head) {
    const size = row.size * grid.size;
    marks.push({
      kind: "text",
      x: margin,
      y: y + size,
      text: row.text,
      face: row.bold ? "bold" : "regular",
      size,
      anchor: "start",
      fill: row.bold ? INK : QUIET,
    });
    y += 1.4 * size;
  }
  marks.push(...marksOf(moved(chart, dx, dy), grid));
  foot.forEach((row, index) => {
    const place = height - margin - (foot.length - 1 - index) * 1.25 * grid.size;
    marks.push({
      kind: "text",
      x: margin,
      y: place,
      text: row.text,
      face: "regular",
      size: row.size,
      anchor: "start",
      fill: QUIET,
    });
  });
  const steps = chart.boxes.filter((box) => box.node.number !== "").length;
  return {
    id: `flowchart-${procedure.id}`,
    title: `${procedure.title}, flowchart`,
    description: `${steps} numbered steps and decisions from ${procedure.title} to its ends. Yes leads down and No to the right unless the label says otherwise.`,
    width,
    height,
    marks,
  };
}

function headLines(
  procedure: Procedure,
): readonly { readonly text: string; readonly bold: boolean; readonly size: number }[] {
  const { revision } = procedure;
  const dates = [revision?.date, revision?.effective ? `effective ${revision.effective}` : ""]
    .filter(Boolean)
    .join(", ");
  const line = [procedure.id, revision ? `revision ${revision.number}` : "no revision", dates]
    .filter(Boolean)
    .join(" · ");
  return [
    { text: procedure.title, bold: true, size: 1.6 },
    { text: line, bold: false, size: 0.9 },
  ];
}

function wordsOf(program: Program, procedure: Procedure): Words {
  const system = program.systems.get(procedure.system);
  invariant(system, `procedure ${procedure.id} has no system`);
  const numbers = new Map(everyStep(procedure.steps).map((step) => [step.name, step.number]));
  return { system, numberOf: (step) => numbers.get(step) };
}

function boundsOf(rects: readonly Rect[]): Rect {
  return rects.reduce((all, rect) => ({
    x0: Math.min(all.x0, rect.x0),
    y0: Math.min(all.y0, rect.y0),
    x1: Math.max(all.x1, rect.x1),
    y1: Math.max(all.y1, rect.y1),
  }));
}
