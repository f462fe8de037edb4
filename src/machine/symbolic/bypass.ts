import type { Edge, Node } from "../graph/graph.js";
import type { Transition, Transitions } from "../transitions.js";

/**
 * For each node id the place that can stand for it, itself in most cases: where all ways on lead to one other place and do
 * nothing that counts, and whatever can come about in the pause can come about there just as well. Ways to an end do not count
 * if nothing can come about there that cannot here. Then "can it go wrong" has the same answer without the place. `asked` are
 * places that a question names: they stay.
 */
export function bypasses(transitions: Transitions, asked: (id: number) => boolean): readonly Node[] {
  const { nodes, ranks, outgoing } = transitions.model.graph;
  const standIns = [...nodes];
  const finals = new Set<Node>();
  const leadsOn = (node: Node, edge: Edge): boolean => {
    const to = standIns[edge.to.id]!;
    return !finals.has(to) || !isTransparent(transitions, edge) || !isPart(transitions, to, node);
  };
  const lateFirst = nodes.filter(({ id }) => ranks[id]! >= 0).sort((a, b) => ranks[b.id]! - ranks[a.id]!);
  for (const node of lateFirst) {
    if (asked(node.id)) continue;
    const edges = (outgoing.get(node) ?? []).filter((edge) => leadsOn(node, edge));
    const [first] = edges;
    if (!first) finals.add(node);
    const to = first && standIns[first.to.id]!;
    if (!to || ranks[to.id]! <= ranks[node.id]!) continue;
    const isIdle = edges.every((edge) => standIns[edge.to.id] === to && isTransparent(transitions, edge));
    if (isIdle && isPart(transitions, node, to)) standIns[node.id] = to;
  }
  return standIns;
}

function isTransparent(transitions: Transitions, edge: Edge): boolean {
  return !transitions.concerns(edge) && transitions.lead(edge).length === 0;
}

/** Can all that comes about in one pause come about in the other? */
function isPart(transitions: Transitions, node: Node, other: Node): boolean {
  const [pauses, others]: (readonly Transition[])[] = [transitions.pausesAt(node), transitions.pausesAt(other)];
  return pauses === others || pauses!.every((pause) => others!.includes(pause));
}
