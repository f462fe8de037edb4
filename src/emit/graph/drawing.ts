import { unreachable } from "../../invariant.js";
import type { Procedure } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";
import { type Frame, framed, type Picture, roomInside, type Sheet } from "../drawing/frame.js";
import { type Drawing, INK, line, type Mark, PAPER, type Pen, type Point } from "../drawing/marks.js";
import type { Measure } from "../drawing/measure.js";
import { type SvgOptions, svgOf } from "../drawing/svg.js";
import type { FlowNode } from "../flowchart/flow.js";
import { revisionOf } from "../flowchart/frame.js";
import { type Grid, gridOf } from "../flowchart/grid.js";
import { sizeOf } from "../flowchart/shapes.js";
import { scaledMark } from "../layout/move.js";
import { type PlacedBox, type PlacedGraph, placeGraph, type Size } from "./layout.js";
import { packed, partsOf, starsOf, widthFor } from "./pack.js";
import { type Graph, type GraphNode, graphOf, type Reliances } from "./reliance.js";

export interface DependencyOptions extends SvgOptions {
  readonly measure: Measure;
  /** Type size in points; 10 where not given. */
  readonly size?: number;
  readonly cautions: readonly string[];
  /** DRAFT goes across it. */
  readonly draft?: boolean;
  /** A sheet to draw it on, made smaller where it must be. */
  readonly paper?: Sheet;
}

/** Which step makes so what later steps, rules and promises rely on, as SVG; undefined where nothing relies on anything. */
export async function dependencySvg(
  program: Program,
  procedure: Procedure,
  reliances: Reliances,
  options: DependencyOptions,
): Promise<string | undefined> {
  const drawing = await dependencyDrawing(program, procedure, reliances, options);
  return drawing && svgOf(drawing, options);
}

/** The same as marks, for the PDF. */
export async function dependencyDrawing(
  program: Program,
  procedure: Procedure,
  reliances: Reliances,
  options: DependencyOptions,
): Promise<Drawing | undefined> {
  const graph = graphOf(program, procedure, reliances);
  if (graph.edges.length === 0) return undefined;
  const grid = gridOf(options.measure, options.size ?? 10);
  const parts = await placedParts(partsOf(graph), grid);
  const width = widthFor(parts, gapOf(grid));
  const [whole] = packed(parts, { width, height: Number.POSITIVE_INFINITY }, gapOf(grid));
  return whole && framed(frameOf(procedure, graph, options, grid), pictureOf(graph, whole, grid));
}

/** On sheets of one size, as large as its largest part lets it be. */
export async function dependencyPages(
  program: Program,
  procedure: Procedure,
  reliances: Reliances,
  options: DependencyOptions & { readonly paper: Sheet },
): Promise<readonly Drawing[]> {
  const graph = graphOf(program, procedure, reliances);
  if (graph.edges.length === 0) return [];
  const grid = gridOf(options.measure, options.size ?? 10);
  const frame = { ...frameOf(procedure, graph, options, grid), paper: options.paper };
  const room = roomInside({ ...frame, keys: [...frame.keys, MORE], subtitle: `${frame.subtitle} · sheet 88 of 88` });
  const parts = await readableParts(graph, grid, room);
  const isWhole = parts.reduce((sum, { boxes }) => sum + boxes.length, 0) === graph.nodes.length;
  const told = isWhole ? frame : { ...frame, keys: [...frame.keys, MORE] };
  const scale = Math.min(1, ...parts.map(({ width, height }) => Math.min(room.width / width, room.height / height)));
  const sheets = packed(parts, { width: room.width / scale, height: room.height / scale }, gapOf(grid));
  return sheets.map((sheet, index) => {
    const name = sheets.length > 1 ? ` · sheet ${index + 1} of ${sheets.length}` : "";
    const named = { ...told, id: `${frame.id}-${index + 1}`, subtitle: `${frame.subtitle}${name}` };
    const marks = pictureOf(graph, sheet, grid).marks.map((mark) => scaledMark(mark, scale, 0, 0));
    return framed(named, { marks, width: sheet.width * scale, height: sheet.height * scale });
  });
}

const MORE = "A box may stand in several places.";

/** Of its size; smaller than this the words in boxes are hard to read. Our own limit, no published source. */
const READABLE = 0.75;

/** The parts that hang together; one that would come out too small falls apart into its steps, each with what relies on it. */
async function readableParts(graph: Graph, grid: Grid, room: Size): Promise<readonly PlacedGraph[]> {
  const placed: PlacedGraph[] = [];
  for (const part of partsOf(graph)) {
    const [whole] = await placedParts([part], grid);
    if (whole && READABLE * whole.width <= room.width && READABLE * whole.height <= room.height) placed.push(whole);
    else placed.push(...(await placedParts(starsOf(part), grid)));
  }
  return placed;
}

/** Parts of a graph, each in its place, for those who draw or check it. */
export async function placedParts(parts: readonly Graph[], grid: Grid): Promise<readonly PlacedGraph[]> {
  const placed: PlacedGraph[] = [];
  for (const part of parts) {
    const sizes = new Map(part.nodes.map((node) => [node.id, sizeOf(asFlowNode(node), grid)]));
    placed.push(await placeGraph(sizes, part.edges, grid.size));
  }
  return placed;
}

function gapOf(grid: Grid): number {
  return 2.4 * grid.size;
}

function pictureOf(graph: Graph, placed: PlacedGraph, grid: Grid): Picture {
  const nodes = new Map(graph.nodes.map((node) => [node.id, node]));
  const marks = [
    ...placed.lines.flatMap(({ points }) => lineMarks(points, grid)),
    ...placed.boxes.flatMap((box) => nodeMarks(nodes.get(box.id), box, grid)),
  ];
  return { marks, width: placed.width, height: placed.height };
}

function frameOf(procedure: Procedure, graph: Graph, options: DependencyOptions, grid: Grid): Frame {
  const apart = graph.apart > 0 ? ` Not drawn, since nothing relies on them: ${graph.apart} other steps.` : "";
  return {
    id: `dependencies-${procedure.id}`,
    title: procedure.title,
    subtitle: `What relies on what · ${revisionOf(procedure)}`,
    description: `Which step of ${procedure.title} makes so what later steps, rules and promises rely on: ${graph.nodes.length} boxes, ${graph.edges.length} lines.`,
    keys: [
      `Signs: plain frame: a step; double frame: a rule; round frame: a promise. A line leads from a step to what relies on it: with the step left out, that no longer holds.${apart}`,
      ...(graph.unanswered > 0
        ? [`Unproved: more may rely on ${graph.unanswered} of the steps; the limit came first.`]
        : []),
    ],
    cautions: options.cautions,
    measure: options.measure,
    size: grid.size,
    ...(options.draft ? { draft: true } : {}),
    ...(options.paper ? { paper: options.paper } : {}),
  };
}

/** What is no step has no number, and stands in the middle of its box. */
function asFlowNode(node: GraphNode): FlowNode {
  const shape = node.kind === "step" ? "process" : "end";
  return { id: node.id, shape, number: node.number, head: "", text: node.text, heavy: false, alerts: [] };
}

function nodeMarks(node: GraphNode | undefined, box: PlacedBox, grid: Grid): readonly Mark[] {
  if (!node) return [];
  const rows = sizeOf(asFlowNode(node), grid).rows.map(
    (row): Mark => ({
      kind: "text",
      x: box.x + box.width / 2 + row.x,
      y: box.y + row.y,
      text: row.text,
      face: row.face,
      size: row.size,
      anchor: row.anchor,
      fill: INK,
    }),
  );
  return [
    {
      kind: "group",
      title: `${node.number} ${node.text.join(" ")}`.trim(),
      marks: [...outline(node, box, grid), ...rows],
    },
  ];
}

function outline(node: GraphNode, box: PlacedBox, grid: Grid): readonly Mark[] {
  const pen: Pen = { fill: PAPER, stroke: INK, weight: 0.1 * grid.size };
  const rect = { kind: "rect", x: box.x, y: box.y, width: box.width, height: box.height, ...pen } as const;
  const inset = 0.25 * grid.size;
  switch (node.kind) {
    case "step":
      return [rect];
    case "rule":
      return [
        rect,
        {
          ...rect,
          x: box.x + inset,
          y: box.y + inset,
          width: box.width - 2 * inset,
          height: box.height - 2 * inset,
          weight: 0.06 * grid.size,
        },
      ];
    case "promise":
      return [{ ...rect, radius: Math.min(box.height / 2, grid.size) }];
    default:
      return unreachable(node.kind);
  }
}

function lineMarks(points: readonly Point[], grid: Grid): readonly Mark[] {
  const end = points.at(-1);
  const before = points.at(-2);
  if (!end || !before) return [];
  const length = Math.hypot(end.x - before.x, end.y - before.y) || 1;
  const [ux, uy] = [(end.x - before.x) / length, (end.y - before.y) / length];
  const back = { x: end.x - ux * grid.arrow, y: end.y - uy * grid.arrow };
  const wing = 0.36 * grid.arrow;
  const head = [
    end,
    { x: back.x - uy * wing, y: back.y + ux * wing },
    { x: back.x + uy * wing, y: back.y - ux * wing },
  ];
  return [
    line([...points.slice(0, -1), back], { stroke: INK, weight: 0.08 * grid.size }),
    line(head, { fill: INK }, true),
  ];
}
