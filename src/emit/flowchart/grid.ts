import type { Measure } from "../drawing/measure.js";
import type { FlowNode } from "./flow.js";
import type { Sized } from "./text.js";

/** Every length of a chart, in points; all are multiples of the type size. */
export interface Grid {
  readonly measure: Measure;
  readonly size: number;
  /** From base line to base line: 1.25 of the size (NASA CR-177605, spacing 25 to 33 %). */
  readonly line: number;
  readonly box: number;
  readonly pad: number;
  /** The column of the step's number. */
  readonly numbers: number;
  /** Between two shapes, arrow included. */
  readonly gap: number;
  /** The same, with a word beside the line. */
  readonly wordGap: number;
  /** Least distance of what does not belong together. */
  readonly clear: number;
  readonly joint: number;
  readonly arrow: number;
  /** Sizes already worked out: lanes are laid out several times over. */
  readonly sizes: Map<FlowNode, Sized>;
}

/** `box`: the width of a shape; 16 times the size where not given. */
export function gridOf(measure: Measure, size: number, box = 16 * size): Grid {
  return {
    measure,
    size,
    line: 1.25 * size,
    box,
    pad: 0.6 * size,
    numbers: 2.1 * size,
    gap: 1.7 * size,
    wordGap: 2.2 * size,
    clear: 0.9 * size,
    joint: 0.5 * size,
    arrow: 0.6 * size,
    sizes: new Map(),
  };
}
