import type { Procedure } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";
import { framed, roomInside, type Sheet } from "../drawing/frame.js";
import type { Drawing } from "../drawing/marks.js";
import type { Measure } from "../drawing/measure.js";
import { arrange, type Page } from "./arrange.js";
import { cutToFit } from "./cut.js";
import { Pairs } from "./detach.js";
import { marksOf } from "./draw.js";
import type { SequenceFlow } from "./flow.js";
import { procedureFlow } from "./flowchart.js";
import { frameOf } from "./frame.js";
import { type Grid, gridOf } from "./grid.js";
import { layout } from "./layout.js";
import { moved, type Piece } from "./piece.js";
import { boundsOf } from "./rect.js";

export interface PageOptions {
  readonly measure: Measure;
  /** Type size in points; 10 where not given. */
  readonly size?: number;
  readonly paper: Sheet;
  /** DRAFT goes across it. */
  readonly draft?: boolean;
  readonly cautions: readonly string[];
}

/** The flowchart of a procedure on sheets of one size: what does not fit goes on at the other connector of a pair. */
export function flowchartPages(program: Program, procedure: Procedure, options: PageOptions): readonly Drawing[] {
  const { pages, grid } = layoutPages(program, procedure, options);
  return pages.map(({ chart }, index) => {
    const own = frameOf(procedure, chart.boxes, options, grid.size);
    const subtitle = `${own.subtitle} · page ${index + 1} of ${pages.length}`;
    const bounds = boundsOf(chart.rects);
    const marks = marksOf(moved(chart, -bounds.x0, -bounds.y0), grid);
    return framed(
      { ...own, id: `${own.id}-${index + 1}`, subtitle, paper: options.paper },
      { marks, width: bounds.x1 - bounds.x0, height: bounds.y1 - bounds.y0 },
    );
  });
}

/** The pages in their own coordinates, for those who draw or check them. */
export function layoutPages(
  program: Program,
  procedure: Procedure,
  options: PageOptions,
): {
  readonly pages: readonly Page[];
  readonly grid: Grid;
  readonly room: { readonly width: number; readonly height: number };
} {
  const size = options.size ?? 10;
  const whole = procedureFlow(program, procedure);
  const room = roomFor(procedure, whole, options, size);
  const grid = gridOf(options.measure, size, Math.min(16 * size, (room.width - 5.8 * size) / 2));
  const draw = (chart: SequenceFlow) => within(chart, grid, room.width);
  const fill = (chart: SequenceFlow) => {
    const bounds = boundsOf(draw(chart)?.rects ?? [{ x0: 0, y0: 0, x1: 0, y1: 0 }]);
    return { width: (bounds.x1 - bounds.x0) / room.width, height: (bounds.y1 - bounds.y0) / room.height };
  };
  const charts = cutToFit(whole, fill, new Pairs());
  return { pages: arrange(charts, draw, room, grid), grid, room };
}

/** What the sheet leaves when every sign that the chart may need is explained under it. */
function roomFor(procedure: Procedure, whole: SequenceFlow, options: PageOptions, size: number) {
  const uncut = layout(whole, gridOf(options.measure, size), Number.POSITIVE_INFINITY);
  const own = frameOf(procedure, uncut?.boxes ?? [], options, size, true);
  return roomInside({ ...own, subtitle: `${own.subtitle} · page 88 of 88`, paper: options.paper });
}

/** As wide as the page allows: what stands left of the spine is known only when it is laid out. */
function within(chart: SequenceFlow, grid: Grid, width: number): Piece | undefined {
  const first = layout(chart, grid, width - grid.box / 2);
  if (!first) return undefined;
  const bounds = boundsOf(first.rects);
  return bounds.x1 - bounds.x0 <= width ? first : layout(chart, grid, width + bounds.x0);
}
