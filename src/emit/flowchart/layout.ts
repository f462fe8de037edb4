import type { Context } from "./context.js";
import { single } from "./context.js";
import { type Flow, goesOn, type SequenceFlow } from "./flow.js";
import { layoutFork } from "./fork.js";
import type { Grid } from "./grid.js";
import { layoutLanes } from "./lanes.js";
import { layoutLoop } from "./loop.js";
import type { Piece } from "./piece.js";
import { layoutSequence } from "./sequence.js";

/** Lays a flow out; `room` is how far right of the spine it may reach before it grows downwards instead. Undefined: nothing to draw. */
export function layout(flow: SequenceFlow, grid: Grid, room: number): Piece | undefined {
  return layoutSequence(flow, { grid, room, extra: new Map(), layoutFlow, layoutSequence });
}

function layoutFlow(flow: Flow, context: Context): Piece | undefined {
  switch (flow.kind) {
    case "node":
      return single(context, flow.node, "", !goesOn(flow));
    case "sequence":
      return layoutSequence(flow, context);
    case "fork":
      return layoutFork(flow, context);
    case "loop":
      return layoutLoop(flow, context);
    case "lanes":
      return layoutLanes(flow, context);
  }
}
