import type { Node } from "../machine/graph/graph.js";
import type { Search } from "../machine/symbolic/search.js";
import type { Path, PathStep } from "../machine/symbolic/trace.js";
import type { Step } from "../program/procedure.js";

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

/** The steps whose act can be the last before a place, by the edges that a search came along; it has been run to its end. */
export function lastActsOf(search: Search): (node: Node) => readonly Step[] {
  const found = new Map<Node, readonly Step[]>();
  return (node) => {
    const steps = found.get(node) ?? actsInto(node, search);
    found.set(node, steps);
    return steps;
  };
}

function actsInto(node: Node, search: Search): readonly Step[] {
  const places = new Set([node]);
  const steps: Step[] = [];
  for (const place of places) {
    for (const edge of search.edgesTo(place)) {
      if (!search.taken.has(edge)) continue;
      if (edge.kind === "pass") places.add(edge.from);
      else if (edge.step) steps.push(edge.step);
    }
  }
  return steps;
}
