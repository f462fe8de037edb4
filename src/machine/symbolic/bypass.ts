import type { Edge, Node } from "../graph/graph.js";
import type { Transition, Transitions } from "../transitions.js";

/** A graph with the places left out at which nothing that counts is done. */
export interface Bypass {
  /** For each node id the place that stands for it: itself in most cases. */
  readonly standIns: readonly Node[];
  /** Edges to ends, and to places from which only such lead on, where nothing can come about that cannot here. */
  readonly dropped: ReadonlySet<Edge>;
}

/**
 * A place can be left out where all ways on lead to one other place and do nothing that counts, and whatever can come about in
 * the pause can come about there just as well. Then "can it go wrong" has the same answer without it. `asked` are places that
 * a question names: they stay.
 */
export function bypass(
  transitions: Transitions,
  outgoing: ReadonlyMap<Node, readonly Edge[]>,
  asked: (id: number) => boolean,
): Bypass {
  const { nodes, ranks, ranked } = transitions.model.graph;
  const standIns = [...nodes];
  const dropped = new Set<Edge>();
  const finals = new Set<Node>();
  for (let at = ranked.length - 1; at >= 0; at--) {
    const node = ranked[at]!;
    if (asked(node.id)) continue;
    let to: Node | undefined;
    let isIdle = true;
    let isFinal = true;
    for (const edge of outgoing.get(node) ?? NONE) {
      const next = standIns[edge.to.id]!;
      const isOpen = isTransparent(transitions, edge);
      if (isOpen && finals.has(next) && isPart(transitions, next, node)) {
        dropped.add(edge);
        continue;
      }
      isFinal = false;
      isIdle &&= isOpen && (to === undefined || to === next);
      to = next;
    }
    if (isFinal) finals.add(node);
    if (to && isIdle && ranks[to.id]! > ranks[node.id]! && isPart(transitions, node, to)) standIns[node.id] = to;
  }
  return { standIns, dropped };
}

const NONE: readonly Edge[] = [];

function isTransparent(transitions: Transitions, edge: Edge): boolean {
  return !transitions.concerns(edge) && transitions.lead(edge).length === 0;
}

/** Can all that comes about in one pause come about in the other? */
function isPart(transitions: Transitions, node: Node, other: Node): boolean {
  const [pauses, others]: (readonly Transition[])[] = [transitions.pausesAt(node), transitions.pausesAt(other)];
  return pauses === others || pauses!.every((pause) => others!.includes(pause));
}
