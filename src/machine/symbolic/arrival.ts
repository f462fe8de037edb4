import type { Edge, Node } from "../graph/graph.js";
import type { Transition } from "../transitions.js";
import type { Factored } from "./factored.js";

/** States that a search met at a place at one time, none of them met there before. */
export interface Arrival {
  readonly node: Node;
  /** Where they came from; none: they are starts. */
  readonly from: readonly Source[];
  /** What came first, then what each pause made of those ahead of it. */
  readonly parts: readonly Part[];
}

export interface Source {
  readonly arrival: Arrival;
  readonly edge: Edge;
}

export interface Part {
  readonly states: Factored;
  readonly pause?: Transition;
}
