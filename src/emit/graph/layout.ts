import type { Point } from "../drawing/marks.js";
import type { GraphEdge } from "./reliance.js";

/** The size of a box, in points. */
export interface Size {
  readonly width: number;
  readonly height: number;
}

export interface PlacedBox extends Size {
  /** Of the node. */
  readonly id: string;
  readonly x: number;
  readonly y: number;
}

export interface PlacedGraph extends Size {
  /** A node may have several. */
  readonly boxes: readonly PlacedBox[];
  readonly lines: readonly { readonly edge: GraphEdge; readonly points: readonly Point[] }[];
}

/**
 * Places boxes in layers from left to right and joins them by lines with square corners (Eclipse Layout Kernel, loaded
 * only here since that takes a third of a second). The same graph is placed the same way every time.
 */
export async function placeGraph(
  sizes: ReadonlyMap<string, Size>,
  edges: readonly GraphEdge[],
  unit: number,
): Promise<PlacedGraph> {
  const elk = await loadElk();
  const placed = await elk.layout({
    id: "graph",
    layoutOptions: optionsOf(unit),
    children: [...sizes].map(([id, size]) => ({ id, width: size.width, height: size.height })),
    edges: edges.map(({ from, to }, index) => ({ id: String(index), sources: [from], targets: [to] })),
  });
  const boxes = (placed.children ?? []).map(({ id, x = 0, y = 0, width = 0, height = 0 }) => ({
    id,
    x,
    y,
    width,
    height,
  }));
  const lines = (placed.edges ?? []).flatMap(({ id, sections = [] }) => {
    const edge = edges[Number(id)];
    return edge
      ? [{ edge, points: sections.flatMap((one) => [one.startPoint, ...(one.bendPoints ?? []), one.endPoint]) }]
      : [];
  });
  return { boxes, lines, width: placed.width ?? 0, height: placed.height ?? 0 };
}

export function movedPoint({ x, y }: Point, dx: number, dy: number): Point {
  return { x: x + dx, y: y + dy };
}

function optionsOf(unit: number): Readonly<Record<string, string>> {
  return {
    "elk.algorithm": "layered",
    "elk.direction": "RIGHT",
    "elk.edgeRouting": "ORTHOGONAL",
    "elk.randomSeed": "1",
    "elk.padding": "[top=0,left=0,bottom=0,right=0]",
    "elk.layered.nodePlacement.strategy": "NETWORK_SIMPLEX",
    "elk.layered.considerModelOrder.strategy": "NODES_AND_EDGES",
    "elk.spacing.nodeNode": String(1.2 * unit),
    "elk.layered.spacing.nodeNodeBetweenLayers": String(3 * unit),
    "elk.spacing.edgeNode": String(unit),
    "elk.spacing.edgeEdge": String(0.8 * unit),
    "elk.layered.spacing.edgeNodeBetweenLayers": String(unit),
    "elk.layered.spacing.edgeEdgeBetweenLayers": String(0.8 * unit),
  };
}

/** What is used of the library, whose own types do not fit this kind of module. */
interface Elk {
  layout(graph: ElkGraph): Promise<ElkGraph>;
}

interface ElkGraph {
  readonly id: string;
  readonly x?: number;
  readonly y?: number;
  readonly width?: number;
  readonly height?: number;
  readonly layoutOptions?: Readonly<Record<string, string>>;
  readonly children?: readonly ElkGraph[];
  readonly edges?: readonly {
    readonly id: string;
    readonly sources: readonly string[];
    readonly targets: readonly string[];
    readonly sections?: readonly {
      readonly startPoint: Point;
      readonly bendPoints?: readonly Point[];
      readonly endPoint: Point;
    }[];
  }[];
}

async function loadElk(): Promise<Elk> {
  const loaded: unknown = await import("elkjs/lib/elk.bundled.js");
  const { default: Constructor } = loaded as { readonly default: new () => Elk };
  return new Constructor();
}
