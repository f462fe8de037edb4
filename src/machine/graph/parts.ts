import type { Step } from "../../program/procedure.js";
import { TRUE } from "../expression.js";
import { NodeLimit } from "../symbolic/bdd.js";
import type { Edge, End, Hold, Node, Probe } from "./graph.js";

/** Places that a procedure may come to, its watches answered at each and its lanes woven; beyond, nothing of it is proved. */
const MOST_PLACES = 200_000;

/** A graph while it is built. */
export interface Parts {
  readonly nodes: Node[];
  readonly edges: Edge[];
  readonly probes: Probe[];
  readonly entries: Map<Step, Node[]>;
}

export function emptyParts(): Parts {
  return { nodes: [], edges: [], probes: [], entries: new Map() };
}

export function newNode(
  parts: Parts,
  like: {
    readonly moves: ReadonlySet<string>;
    readonly holds: readonly Hold[];
    readonly end?: End;
    readonly isUrgent?: boolean;
  },
): Node {
  const { moves, holds, end, isUrgent } = like;
  if (parts.nodes.length >= MOST_PLACES) throw new NodeLimit();
  const node: Node = {
    id: parts.nodes.length,
    moves,
    holds,
    ...(end ? { end } : {}),
    ...(isUrgent ? { isUrgent } : {}),
  };
  parts.nodes.push(node);
  return node;
}

/** Adds an edge; what is not said is that of a plain `pass`. */
export function newEdge(parts: Parts, edge: Partial<Edge> & Pick<Edge, "from" | "to" | "kind">): Edge {
  const made: Edge = {
    operations: [],
    after: TRUE,
    act: { kind: edge.kind === "tick" ? "tick" : "pass" },
    step: undefined,
    learns: [],
    stated: 0,
    lanes: undefined,
    ...edge,
    id: parts.edges.length,
  };
  parts.edges.push(made);
  return made;
}
