import type { Node } from "../graph/graph.js";
import type { Goal } from "./goal.js";
import type { Search } from "./search.js";
import { costOf } from "./waves.js";

/** A search that has been run to its end, and what it was to find, in its own terms. */
export interface Scout {
  readonly search: Search;
  readonly goal: Goal;
}

/**
 * For each node id how many moments the goal is away at least, by the edges that the scout came along, to where it found it; infinite
 * where none leads there, or where the scout did not come.
 */
export function momentsToGo({ search, goal }: Scout): Float64Array {
  const { nodes } = search.transitions.model.graph;
  const toGo = new Float64Array(nodes.length).fill(Number.POSITIVE_INFINITY);
  const byMoments: Node[][] = [];
  const note = (node: Node, moments: number) => {
    if (toGo[node.id]! <= moments || !search.cameTo(node)) return;
    toGo[node.id] = moments;
    byMoments[moments] ??= [];
    byMoments[moments].push(node);
  };
  for (const [id, asked] of goal.atPlace) if (search.space.bdd.meets(search.reachedAt(id), asked)) note(nodes[id]!, 0);
  for (const [edge, asked] of goal.atEdges ?? [])
    if (search.space.bdd.meets(search.momentsOf(edge), asked)) note(edge.from, edge.kind === "act" ? 1 : 0);
  for (const { from, transition } of search.brokenAt())
    if (goal.atBreach?.(transition, from)) note(from, costOf(transition));
  for (let moments = 0; moments < byMoments.length; moments++) {
    for (const node of byMoments[moments] ?? []) {
      if (toGo[node.id]! < moments) continue;
      for (const edge of search.edgesTo(node))
        if (search.taken.has(edge)) note(edge.from, moments + (edge.kind === "act" ? 1 : 0));
    }
  }
  return toGo;
}
