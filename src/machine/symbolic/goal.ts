import type { Edge, Node } from "../graph/graph.js";
import type { Transition } from "../transitions.js";
import type { Ref } from "./bdd.js";

/** What a shortest path is looked for to */
export interface Goal {
  /** What is wrong at a place, by node id. */
  readonly atPlace: ReadonlyMap<number, Ref>;
  /** What is wrong at the moment of an edge. */
  readonly atEdges?: ReadonlyMap<Edge, Ref>;
  /** Does it count where a monitor breaks at this transition, from this place? Absent: nowhere. */
  readonly atBreach?: (transition: Transition, from: Node) => boolean;
}
