import type { Edge, Node } from "./graph.js";
import { newEdge, newNode, type Parts } from "./parts.js";

/** The places that can be come to from some places, these included. */
export function nodesFrom(parts: Parts, starts: readonly Node[]): readonly Node[] {
  const outgoing = outgoingOf(parts.edges);
  const found = new Set(starts);
  for (const node of found) for (const edge of outgoing.get(node) ?? []) found.add(edge.to);
  return [...found];
}

/** Some edges, by where they come from and where they lead. */
export interface Ways {
  readonly outgoing: ReadonlyMap<Node, readonly Edge[]>;
  readonly incoming: ReadonlyMap<Node, readonly Edge[]>;
}

export function waysAlong(edges: readonly Edge[]): Ways {
  return { outgoing: outgoingOf(edges), incoming: incomingOf(edges) };
}

export function outgoingOf(edges: readonly Edge[]): ReadonlyMap<Node, readonly Edge[]> {
  return groupedBy(edges, ({ from }) => from);
}

export function incomingOf(edges: readonly Edge[]): ReadonlyMap<Node, readonly Edge[]> {
  return groupedBy(edges, ({ to }) => to);
}

/** Things by what they have in common, each group in the order of the things. */
export function groupedBy<T, K>(things: readonly T[], keyOf: (thing: T) => K): ReadonlyMap<K, readonly T[]> {
  const found = new Map<K, T[]>();
  for (const thing of things) {
    const key = keyOf(thing);
    const present = found.get(key);
    if (present) present.push(thing);
    else found.set(key, [thing]);
  }
  return found;
}

/**
 * Enters `head` from `from` through copies of its places, with the moves of `from`, up to the first acts and no further
 * than `exit`. What is asked of a place or an edge is asked of its copy too.
 */
export function copyUntilActs(parts: Parts, from: Node, head: Node, exit: Node, firstEdge: number): void {
  const outgoing = outgoingOf(parts.edges.slice(firstEdge));
  const nodes = new Map<Node, Node>();
  const edges = new Map<Edge, Edge>();
  const copy = (node: Node): Node => {
    if (node === exit || node.end) return node;
    const present = nodes.get(node);
    if (present) return present;
    const made = newNode(parts, { ...node, moves: from.moves });
    nodes.set(node, made);
    for (const edge of outgoing.get(node) ?? []) {
      edges.set(edge, newEdge(parts, { ...edge, from: made, to: edge.kind === "pass" ? copy(edge.to) : edge.to }));
    }
    return made;
  };
  newEdge(parts, { from, to: copy(head), kind: "pass" });
  carryOver(parts, nodes, edges);
}

function carryOver(parts: Parts, nodes: ReadonlyMap<Node, Node>, edges: ReadonlyMap<Edge, Edge>): void {
  parts.probes.forEach((probe, index) => {
    const moreNodes = probe.nodes.flatMap((node) => nodes.get(node) ?? []);
    const moreEdges = probe.edges.flatMap((edge) => edges.get(edge) ?? []);
    if (moreNodes.length + moreEdges.length === 0) return;
    const wider = { ...probe, nodes: [...probe.nodes, ...moreNodes], edges: [...probe.edges, ...moreEdges] };
    parts.probes[index] =
      wider.kind === "stuck"
        ? { ...wider, region: [...wider.region, ...wider.region.flatMap((node) => nodes.get(node) ?? [])] }
        : wider;
  });
  for (const places of parts.entries.values()) places.push(...places.flatMap((node) => nodes.get(node) ?? []));
}

/** Places in reverse post-order from the start; -1 where no path leads. */
export function ranksOf(start: Node, count: number, outgoing: ReadonlyMap<Node, readonly Edge[]>): Int32Array {
  const rank = new Int32Array(count).fill(-1);
  const finished: Node[] = [];
  const seen = new Set<Node>([start]);
  const stack: { readonly node: Node; next: number }[] = [{ node: start, next: 0 }];
  while (stack.length > 0) {
    const top = stack.at(-1)!;
    const edge = (outgoing.get(top.node) ?? [])[top.next++];
    if (!edge) {
      finished.push(top.node);
      stack.pop();
    } else if (!seen.has(edge.to)) {
      seen.add(edge.to);
      stack.push({ node: edge.to, next: 0 });
    }
  }
  finished.reverse().forEach((node, index) => {
    rank[node.id] = index;
  });
  return rank;
}

/** The places that have a rank, the lowest first. */
export function rankedBy(ranks: Int32Array, nodes: readonly Node[]): readonly Node[] {
  const ranked: Node[] = [];
  for (const node of nodes) if (ranks[node.id]! >= 0) ranked[ranks[node.id]!] = node;
  return ranked;
}
