import { type Context, headingOf, wayOut } from "./context.js";
import type { FlowNode, ForkFlow } from "./flow.js";
import { type Box, boxOf, type Label, moved, type Piece, piece, type Way, type Wire } from "./piece.js";
import { clearDown, DEEP } from "./rect.js";
import { type Column, levelLine, placeRights } from "./rights.js";
import { exitLabels, exitRects, gapAfter, wireDown } from "./ways.js";

/** A decision whose ways run together again: one down the spine, the others beside it, and a joint below them all. */
export function layoutFork(flow: ForkFlow, context: Context): Piece {
  const decision = boxOf(flow.decision, context.grid);
  const down = downPart(flow, context, decision);
  const rights = placeRights(context, flow.rights, decision, [
    ...down.rects,
    ...exitRects(context.grid, down.exit, 0, DEEP),
  ]);
  const merging = rights.columns.filter((column) => column.bypass || column.exit);
  const y = mergeHeight(context, decision, down, rights.columns);
  const merge = mergeAt(context, flow, decision, down.exit, merging, y);
  return piece(
    decision,
    {
      boxes: [...down.boxes, ...rights.boxes, ...merge.boxes],
      wires: [...down.wires, ...rights.wires, ...merge.wires],
      labels: [...headingOf(context.grid, decision), ...down.labels, ...rights.labels, ...merge.labels],
    },
    { id: merge.main.node.id, y: merge.main.y + merge.main.height, label: "" },
  );
}

/** The decision with what stands under it on the spine. */
function downPart(flow: ForkFlow, context: Context, decision: Box): Piece {
  const { grid } = context;
  const inner = context.layoutSequence(flow.down.flow, context);
  const exit = wayOut(decision, flow.down.label);
  const upper = piece(decision, { boxes: [decision], wires: [], labels: [] }, exit);
  if (!inner) return upper;
  const least = decision.height + gapAfter(grid, exit);
  const dy = Math.max(least, clearDown(inner.rects, [...upper.rects, levelLine(grid, decision)], grid.clear));
  const lower = moved(inner, 0, dy);
  const { wire, labels } = wireDown(grid, exit, lower.entry);
  return piece(
    decision,
    { boxes: [decision, ...lower.boxes], wires: [wire, ...lower.wires], labels: [...labels, ...lower.labels] },
    lower.exit,
  );
}

/** Below everything that the level line back to the spine has to pass under. */
function mergeHeight(context: Context, decision: Box, down: Piece, columns: readonly Column[]): number {
  const { grid } = context;
  const last = columns.findLast((column) => column.bypass || column.exit)?.x ?? 0;
  const passed = [...down.rects, ...columns.flatMap((column) => column.rects)].filter((rect) => rect.x0 < last);
  const exits = [down.exit, ...columns.map((column) => column.exit)].filter((exit) => exit !== undefined);
  return Math.max(
    decision.height + grid.gap,
    ...passed.map((rect) => rect.y1 + grid.clear),
    ...exits.map((exit) => exit.y + gapAfter(grid, exit)),
  );
}

interface Merge {
  readonly main: Box;
  readonly boxes: readonly Box[];
  readonly wires: readonly Wire[];
  readonly labels: readonly Label[];
}

/** A joint on the spine and one under every way but the outermost, which comes round the corner. */
function mergeAt(
  context: Context,
  flow: ForkFlow,
  decision: Box,
  down: Way | undefined,
  merging: readonly Column[],
  y: number,
): Merge {
  const { grid } = context;
  const joint = (index: number, x: number): Box => {
    const box = boxOf(jointNode(`${flow.decision.id}#join${index || ""}`), grid);
    return { ...box, x, y: y - box.height / 2 };
  };
  const main = joint(0, 0);
  const boxes = [main];
  const wires: Wire[] = [];
  const labels: Label[] = [];
  if (down) {
    const straight = wireDown(grid, down, main);
    wires.push(straight.wire);
    labels.push(...straight.labels);
  }
  merging.forEach((column, index) => {
    const before = boxes.at(-1) ?? main;
    const from = column.exit?.id ?? decision.node.id;
    const start = column.exit ? [{ x: column.x, y: column.exit.y }] : bypassStart(decision, column.x);
    const into = { x: before.x + before.width / 2, y };
    if (column.exit) labels.push(...exitLabels(grid, column.exit, column.x));
    if (index === merging.length - 1) {
      wires.push({
        from,
        to: before.node.id,
        points: [...start, { x: column.x, y }, into],
        arrow: true,
        broken: false,
      });
      return;
    }
    const own = joint(index + 1, column.x);
    boxes.push(own);
    wires.push({ from, to: own.node.id, points: [...start, { x: column.x, y: own.y }], arrow: false, broken: false });
    wires.push({
      from: own.node.id,
      to: before.node.id,
      points: [{ x: column.x - own.width / 2, y }, into],
      arrow: true,
      broken: false,
    });
  });
  return { main, boxes, wires, labels };
}

function bypassStart(decision: Box, x: number): { x: number; y: number }[] {
  const y = decision.y + decision.height / 2;
  return [
    { x: decision.width / 2, y },
    { x, y },
  ];
}

export function jointNode(id: string): FlowNode {
  return { id, shape: "joint", number: "", head: "", text: [], heavy: false, alerts: [] };
}
