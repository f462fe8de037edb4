import type { Flow, FlowNode, SequenceFlow } from "./flow.js";
import type { Grid } from "./grid.js";
import { type Box, boxOf, type Piece, piece, type Way } from "./piece.js";
import { labelAt } from "./ways.js";

/** What laying out a part of a chart needs to know of the whole. */
export interface Context {
  readonly grid: Grid;
  /** How far to the right of the spine shapes may stand before they are rather moved down. */
  readonly room: number;
  /** More room above a shape, by its id: what a lane needs so that it meets the other in time. */
  readonly extra: ReadonlyMap<string, number>;
  readonly layoutFlow: (flow: Flow, context: Context) => Piece | undefined;
  readonly layoutSequence: (flow: SequenceFlow, context: Context) => Piece | undefined;
}

/** One shape, with its heading beside the line that comes in; left by its bottom with `label`, or not at all. */
export function single(context: Context, node: FlowNode, label: string, ends: boolean): Piece {
  const box = boxOf(node, context.grid);
  return piece(
    box,
    { boxes: [box], wires: [], labels: [...headingOf(context.grid, box), ...besideConnector(context.grid, box)] },
    ends ? undefined : wayOut(box, label),
  );
}

export function headingOf(grid: Grid, box: Box): ReturnType<typeof labelAt> {
  const place = { x: -0.6 * grid.size, y: -0.55 * grid.size, anchor: "end", above: true, bold: true } as const;
  return labelAt(grid, box.node.heading ?? "", place, 12 * grid.size);
}

/** To which page a connector leads, or from which it comes. */
function besideConnector(grid: Grid, box: Box): ReturnType<typeof labelAt> {
  if (box.node.shape !== "connector") return [];
  const place = {
    x: box.width / 2 + 0.4 * grid.size,
    y: (box.height - grid.line) / 2,
    anchor: "start",
    above: false,
  } as const;
  return labelAt(grid, box.node.head, place, 9 * grid.size);
}

export function wayOut(box: Box, label: string): Way {
  return { id: box.node.id, y: box.y + box.height, label };
}
