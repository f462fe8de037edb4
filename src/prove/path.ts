import type { Node } from "../machine/graph/graph.js";
import { incomingOf } from "../machine/graph/reach.js";
import type { Search } from "../machine/symbolic/search.js";
import type { Path } from "../machine/symbolic/trace.js";
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
  if (!last) return search.transitions.model.graph.start;
  return last.transition.cause.kind === "edge" ? last.transition.cause.edge.to : last.from;
}

/** The steps whose act can be the last before a place. */
export function lastActsOf(context: Context): (node: Node) => readonly Step[] {
  const incoming = incomingOf(context.model.graph.edges);
  return (node) => {
    const places = new Set([node]);
    const steps: Step[] = [];
    for (const place of places) {
      for (const edge of incoming.get(place) ?? []) {
        if (edge.kind === "pass") places.add(edge.from);
        else if (edge.step) steps.push(edge.step);
      }
    }
    return steps;
  };
}
