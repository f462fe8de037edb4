import { unreachable } from "../../invariant.js";
import { type Context, single } from "./context.js";
import { type AwayFlow, type Flow, goesOn, type SequenceFlow } from "./flow.js";
import { layoutFork } from "./fork.js";
import type { Grid } from "./grid.js";
import { layoutLanes } from "./lanes.js";
import { layoutLoop } from "./loop.js";
import { moved, type Piece, piece } from "./piece.js";
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
    case "away":
      return layoutAway(flow, context);
    default:
      return unreachable(flow);
  }
}

/** The connector that leads away; below it, joined by nothing, the one that comes back. */
function layoutAway(flow: AwayFlow, context: Context): Piece {
  const out = single(context, flow.out, "", true);
  if (!flow.back) return out;
  const back = moved(single(context, flow.back, "", false), 0, out.entry.height + context.grid.gap);
  const parts = {
    boxes: [...out.boxes, ...back.boxes],
    wires: [],
    labels: [...out.labels, ...back.labels],
  };
  return piece(out.entry, parts, back.exit);
}
