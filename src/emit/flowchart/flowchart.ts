import { invariant } from "../../invariant.js";
import type { Procedure } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";
import { everyStep } from "../card/walk.js";
import type { Words } from "../card/wording.js";
import { framed } from "../drawing/frame.js";
import type { Drawing } from "../drawing/marks.js";
import type { Measure } from "../drawing/measure.js";
import { type SvgOptions, svgOf } from "../drawing/svg.js";
import { flowOf } from "./build.js";
import { marksOf } from "./draw.js";
import type { SequenceFlow } from "./flow.js";
import { frameOf } from "./frame.js";
import { type Grid, gridOf } from "./grid.js";
import { layout } from "./layout.js";
import { moved, type Piece } from "./piece.js";
import { boundsOf } from "./rect.js";

export interface FlowchartOptions extends SvgOptions {
  readonly measure: Measure;
  /** Type size in points; 10 where not given, the least that CAP 676 allows for body text. */
  readonly size?: number;
  /** How far right of the spine the chart may reach, in points, before it grows downwards instead. */
  readonly room?: number;
  /** DRAFT goes across it. */
  readonly draft?: boolean;
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
  const bounds = boundsOf(chart.rects);
  const frame = frameOf(procedure, chart.boxes, options, grid.size);
  const marks = marksOf(moved(chart, -bounds.x0, -bounds.y0), grid);
  return framed(frame, { marks, width: bounds.x1 - bounds.x0, height: bounds.y1 - bounds.y0 });
}

/** The chart of a procedure in its own coordinates, for those who draw or check it. */
export function layoutProcedure(program: Program, procedure: Procedure, grid: Grid, room: number): Piece {
  const chart = layout(procedureFlow(program, procedure), grid, room);
  invariant(chart, "a flow begins with its start");
  return chart;
}

/** The flow of a procedure, its steps called by their numbers. */
export function procedureFlow(program: Program, procedure: Procedure): SequenceFlow {
  return flowOf(program, procedure, wordsOf(program, procedure));
}

function wordsOf(program: Program, procedure: Procedure): Words {
  const system = program.systems.get(procedure.system);
  invariant(system, `procedure ${procedure.id} has no system`);
  const numbers = new Map(everyStep(procedure.steps).map((step) => [step.name, step.number]));
  return { system, numberOf: (step) => numbers.get(step) };
}
