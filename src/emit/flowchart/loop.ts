import { type Context, headingOf, wayOut } from "./context.js";
import type { LoopFlow } from "./flow.js";
import { boxOf, type Label, moved, type Piece, piece, type Wire } from "./piece.js";
import type { Rect } from "./rect.js";
import { labelAt, wireDown } from "./ways.js";

/** The body between its head, a joint, and its decision; the way back goes up on the left of all of it. */
export function layoutLoop(flow: LoopFlow, context: Context): Piece {
  const { grid } = context;
  const head = boxOf(flow.head, grid);
  const round = context.layoutSequence(
    { kind: "sequence", of: [...flow.body.of, { kind: "node", node: flow.decision }] },
    context,
  );
  if (!round) return piece(head, { boxes: [head], wires: [], labels: [] }, wayOut(head, ""));
  const rise = Math.max(0, ...round.rects.map((rect) => -rect.y0));
  const part = moved(round, 0, head.height + Math.max(grid.gap, rise + grid.clear));
  const down = wireDown(grid, wayOut(head, ""), part.entry);
  const back = wayBack(flow, context, part);
  return piece(
    head,
    {
      boxes: [head, ...part.boxes],
      wires: [down.wire, ...part.wires, back.wire],
      labels: [...headingOf(grid, head), ...part.labels, ...back.labels],
    },
    part.exit ? { ...part.exit, label: flow.leave } : undefined,
  );
}

function wayBack(
  flow: LoopFlow,
  context: Context,
  part: Piece,
): { readonly wire: Wire; readonly labels: readonly Label[] } {
  const { grid } = context;
  const decision = part.boxes.find((box) => box.node.id === flow.decision.id) ?? part.entry;
  const from = { x: -decision.width / 2, y: decision.y + decision.height / 2 };
  const to = { x: -grid.joint / 2, y: grid.joint / 2 };
  const place = { x: from.x - 0.35 * grid.size, y: from.y - 0.2 * grid.size, anchor: "end", above: true } as const;
  const labels = labelAt(grid, flow.again, place, 7 * grid.size);
  const inWay = (rect: Rect) => rect.y1 + grid.clear > to.y && rect.y0 - grid.clear < from.y;
  const x = Math.min(
    from.x - 0.8 * grid.size,
    ...labels.map((label) => label.rect.x0 - 0.4 * grid.size),
    ...part.rects.filter(inWay).map((rect) => rect.x0 - grid.clear),
  );
  const points = [from, { x, y: from.y }, { x, y: to.y }, to];
  return { wire: { from: decision.node.id, to: flow.head.id, points, arrow: true, broken: false }, labels };
}
