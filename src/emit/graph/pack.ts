import { invariant } from "../../invariant.js";
import { movedPoint, type PlacedGraph, type Size } from "./layout.js";
import type { Graph, GraphNode } from "./reliance.js";

/** The parts of a graph that hang together, each with its nodes and edges in their order; in the order of their first nodes. */
export function partsOf(graph: Graph): readonly Graph[] {
  const partOf = new Map<string, number>(graph.nodes.map(({ id }, index) => [id, index]));
  for (const { from, to } of graph.edges) {
    const [kept = 0, given = 0] = [partOf.get(from), partOf.get(to)];
    for (const [id, part] of partOf) if (part === given) partOf.set(id, kept);
  }
  const parts = [...new Set(graph.nodes.map(({ id }) => partOf.get(id)))];
  return parts.map((part) => {
    const isIn = (id: string) => partOf.get(id) === part;
    const nodes: readonly GraphNode[] = graph.nodes.filter(({ id }) => isIn(id));
    return { ...graph, nodes, edges: graph.edges.filter(({ from }) => isIn(from)) };
  });
}

/** Each node with what relies on it and no more: for a part that is too large to be seen as a whole. A node may be in several. */
export function starsOf(part: Graph): readonly Graph[] {
  return part.nodes.flatMap(({ id }) => {
    const edges = part.edges.filter(({ from }) => from === id);
    const used = new Set(edges.flatMap(({ from, to }) => [from, to]));
    return edges.length === 0 ? [] : [{ ...part, nodes: part.nodes.filter((node) => used.has(node.id)), edges }];
  });
}

/** Parts in rows from left to right, a new row where the width is full, a new sheet where the height is; in their order. */
export function packed(parts: readonly PlacedGraph[], room: Size, gap: number): readonly PlacedGraph[] {
  const sheets: PlacedGraph[][] = [[]];
  let [x, y, shelf] = [0, 0, 0];
  for (const part of parts) {
    if (x > 0 && x + part.width > room.width) [x, y, shelf] = [0, y + shelf + gap, 0];
    if (y > 0 && y + part.height > room.height) {
      sheets.push([]);
      [x, y, shelf] = [0, 0, 0];
    }
    sheets.at(-1)?.push(moved(part, x, y));
    x += part.width + gap;
    shelf = Math.max(shelf, part.height);
  }
  return sheets.map(joined);
}

/** About as wide as this the parts make a picture that is a little wider than high. */
export function widthFor(parts: readonly PlacedGraph[], gap: number): number {
  const surface = parts.reduce((sum, part) => sum + (part.width + gap) * (part.height + gap), 0);
  return Math.max(...parts.map(({ width }) => width), Math.sqrt(1.5 * surface));
}

function moved(part: PlacedGraph, dx: number, dy: number): PlacedGraph {
  return {
    boxes: part.boxes.map((box) => ({ ...box, x: box.x + dx, y: box.y + dy })),
    lines: part.lines.map((line) => ({ ...line, points: line.points.map((point) => movedPoint(point, dx, dy)) })),
    width: part.width + dx,
    height: part.height + dy,
  };
}

function joined(parts: readonly PlacedGraph[]): PlacedGraph {
  invariant(parts.length > 0, "a sheet has at least one part");
  return {
    boxes: parts.flatMap(({ boxes }) => boxes),
    lines: parts.flatMap(({ lines }) => lines),
    width: Math.max(...parts.map(({ width }) => width)),
    height: Math.max(...parts.map(({ height }) => height)),
  };
}
