import type { Edge, Node } from "../machine/graph/graph.js";
import { incomingOf } from "../machine/graph/reach.js";
import type { Model } from "../machine/model.js";
import type { Search } from "../machine/symbolic/search.js";
import type { Path, PathStep } from "../machine/symbolic/trace.js";
import type { Step } from "../program/procedure.js";
import type { Context } from "./context.js";

/** Does the path end wrong by a gauge's own move? */
export function isByGauge(path: Path): boolean {
  return path.endsAtMoment && path.steps.at(-1)?.transition.cause.kind === "move";
}

/** The step to blame where a path ends wrong: what ended the run, if the run has ended before its finish. */
export function guiltyOf(search: Search, path: Path): Step | undefined {
  const end = path.endsAtMoment ? undefined : placeAfter(search, path).end;
  return end && end.kind !== "finish" ? end.step : blameOf(path);
}

/** The step to blame: of the last act; for what happens in a pause, the step in whose pause it is; undefined before step 1. */
export function blameOf(path: Path): Step | undefined {
  for (const { transition } of path.steps.toReversed()) {
    if (transition.cause.kind === "edge" && transition.cause.edge.kind !== "pass") return transition.cause.edge.step;
  }
  return undefined;
}

/** Where a path leads to. */
export function placeAfter(search: Search, path: Path): Node {
  const last = path.steps.at(-1);
  return last ? placeOf(last) : search.transitions.model.graph.start;
}

/** Where a step leads to. */
export function placeOf({ from, transition: { cause } }: PathStep): Node {
  return cause.kind === "edge" ? cause.edge.to : from;
}

/** The steps whose act can be the last before a place. */
export function lastActsOf({ model }: Context): (node: Node) => readonly Step[] {
  const known = lastActs.get(model);
  if (known) return known;
  const incoming = incomingOf(model.graph.edges);
  const found = new Map<Node, readonly Step[]>();
  const before = (node: Node) => {
    const steps = found.get(node) ?? actsInto(node, incoming);
    found.set(node, steps);
    return steps;
  };
  lastActs.set(model, before);
  return before;
}

/** Kept: a model's places are asked about again and again. */
const lastActs = new WeakMap<Model, (node: Node) => readonly Step[]>();

function actsInto(node: Node, incoming: ReadonlyMap<Node, readonly Edge[]>): readonly Step[] {
  const places = new Set([node]);
  const steps: Step[] = [];
  for (const place of places) {
    for (const edge of incoming.get(place) ?? []) {
      if (edge.kind === "pass") places.add(edge.from);
      else if (edge.step) steps.push(edge.step);
    }
  }
  return steps;
}
