import type { Edge, Hold, Node, Probe } from "./graph.js";
import { newEdge, newNode, type Parts } from "./parts.js";
import { outgoingOf } from "./reach.js";

/** One lane of `together`, built on its own: its edges are later taken in every order with those of the other lanes. */
export interface LaneGraph {
  readonly parts: Parts;
  readonly entry: Node;
  /** Where the lane has done its steps; undefined where every path ends the procedure. */
  readonly exit: Node | undefined;
}

/** Where the run goes when a lane ends it: what is held is let go on the way. */
export type EndOf = (laneEnd: Node, holds: readonly Hold[]) => Node;

interface Product {
  readonly into: Parts;
  /** Where `together` is entered: what is held and may move there, is so in every lane. */
  readonly outer: Node;
  readonly lanes: readonly LaneGraph[];
  readonly outgoing: readonly ReadonlyMap<Node, readonly Edge[]>[];
  readonly places: Map<string, Node>;
  readonly nodesOf: Map<Node, Node[]>;
  readonly edgesOf: Map<Edge, Edge[]>;
  readonly heldAt: Map<Edge, Node[]>;
  readonly waiting: { readonly at: readonly Node[]; readonly node: Node }[];
  readonly endOf: EndOf;
}

/**
 * The interleavings of several lanes: acts one at a time in every order, ticks of all that wait at once. Gives the place
 * at which all are done, or undefined.
 */
export function interleave(into: Parts, from: Node, lanes: readonly LaneGraph[], endOf: EndOf): Node | undefined {
  const product: Product = {
    into,
    outer: from,
    lanes,
    outgoing: lanes.map((lane) => outgoingOf(lane.parts.edges)),
    places: new Map(),
    nodesOf: new Map(),
    edgesOf: new Map(),
    heldAt: new Map(),
    waiting: [],
    endOf,
  };
  const start = placeOf(
    product,
    lanes.map((lane) => lane.entry),
  );
  newEdge(into, { from, to: start, kind: "pass" });
  for (const { at, node } of product.waiting) takeEdges(product, at, node);
  carryProbes(product);
  const done = lanes.map((lane) => lane.exit);
  return done.every((exit) => exit !== undefined) ? product.places.get(keyOf(done)) : undefined;
}

function keyOf(at: readonly Node[]): string {
  return at.map((node) => node.id).join(" ");
}

function placeOf(product: Product, at: readonly Node[]): Node {
  const { outer } = product;
  const key = keyOf(at);
  const present = product.places.get(key);
  if (present) return present;
  const moves = new Set([...outer.moves, ...at.flatMap((node) => [...node.moves])]);
  const own = at.flatMap((node) => node.holds.slice(outer.holds.length));
  const isUrgent = at.some((place) => place.isUrgent);
  const node = newNode(product.into, { moves, holds: [...outer.holds, ...own], isUrgent });
  product.places.set(key, node);
  product.waiting.push({ at, node });
  for (const place of at) product.nodesOf.set(place, [...(product.nodesOf.get(place) ?? []), node]);
  return node;
}

function takeEdges(product: Product, at: readonly Node[], node: Node): void {
  const ticks: { readonly lane: number; readonly edge: Edge }[] = [];
  at.forEach((place, lane) => {
    if (node.isUrgent && !place.isUrgent) return;
    for (const edge of product.outgoing[lane]!.get(place) ?? []) {
      if (edge.kind === "tick") ticks.push({ lane, edge });
      else if (isHeldByOther(product, edge, at, lane))
        product.heldAt.set(edge, [...(product.heldAt.get(edge) ?? []), node]);
      else takeOne(product, at, node, lane, edge);
    }
  });
  if (ticks.length === 0) return;
  const moved = at.map((place, lane) => ticks.find((tick) => tick.lane === lane)?.edge.to ?? place);
  const waiting = ticks.map((tick) => tick.lane);
  const copy = newEdge(product.into, { ...ticks[0]!.edge, from: node, to: placeOf(product, moved), lanes: waiting });
  for (const { edge } of ticks) product.edgesOf.set(edge, [...(product.edgesOf.get(edge) ?? []), copy]);
}

function takeOne(product: Product, at: readonly Node[], node: Node, lane: number, edge: Edge): void {
  const to = edge.to.end ? product.endOf(edge.to, heldAt(product, at, lane)) : placeOf(product, at.with(lane, edge.to));
  const copy = newEdge(product.into, { ...edge, from: node, to, lanes: [lane] });
  product.edgesOf.set(edge, [...(product.edgesOf.get(edge) ?? []), copy]);
}

/** What is held when one lane ends the run, in the order in which it was taken: outside, by the other lanes, by this one. */
function heldAt(product: Product, at: readonly Node[], lane: number): readonly Hold[] {
  const others = at.flatMap((node, index) => (index === lane ? [] : ownHolds(product, node)));
  return [...product.outer.holds, ...others, ...ownHolds(product, at[lane]!)];
}

function ownHolds(product: Product, node: Node): readonly Hold[] {
  return node.holds.slice(product.outer.holds.length);
}

function isHeldByOther(product: Product, edge: Edge, at: readonly Node[], lane: number): boolean {
  if (edge.act.kind !== "set" || edge.act.how === "release") return false;
  const control = edge.act.control;
  return at.some((node, index) => index !== lane && ownHolds(product, node).some((hold) => hold.control === control));
}

function carryProbes(product: Product): void {
  for (const lane of product.lanes) {
    for (const probe of lane.parts.probes) product.into.probes.push(carried(product, probe));
    for (const [step, nodes] of lane.parts.entries) {
      const copies = nodes.flatMap((node) => product.nodesOf.get(node) ?? []);
      product.into.entries.set(step, [...(product.into.entries.get(step) ?? []), ...copies]);
    }
  }
  for (const [edge, nodes] of product.heldAt) {
    if (edge.act.kind !== "set") continue;
    const { step } = edge;
    product.into.probes.push({ kind: "held", control: edge.act.control, step, nodes, edges: [] });
    const region = product.nodesOf.get(edge.from) ?? [];
    const asked = nodes.filter((node) => !node.isUrgent);
    product.into.probes.push({ kind: "stuck", what: "wait", step, nodes: asked, edges: [], region });
  }
}

/** Whether a wait ends is not asked where another is about to act: it was asked a moment before. */
function carried(product: Product, probe: Probe): Probe {
  const nodes = probe.nodes.flatMap((node) => product.nodesOf.get(node) ?? []);
  const edges = probe.edges.flatMap((edge) => product.edgesOf.get(edge) ?? []);
  if (probe.kind !== "stuck") return { ...probe, nodes, edges };
  const asked = nodes.filter((node) => !node.isUrgent);
  return { ...probe, nodes: asked, edges, region: probe.region.flatMap((node) => product.nodesOf.get(node) ?? []) };
}
