import { EMPTY } from "../../machine/symbolic/bdd.js";
import type { Search } from "../../machine/symbolic/search.js";
import type { Step } from "../../program/procedure.js";
import type { Context } from "../context.js";
import type { Reached } from "../merge.js";
import { ownNames } from "../own.js";
import { ready } from "./tell.js";

/** What can come about on this tail. Steps of performed procedures are left to those procedures' own runs. */
export function reachedOf(context: Context, search: Search): Reached {
  const { graph } = context.model;
  const { bdd } = search.space;
  const own = ownNames(context.procedure);
  const steps = new Map<Step, boolean>();
  const branches = new Map<Step, boolean>();
  const moves = new Map<Step, boolean>();
  for (const [step, nodes] of graph.entries) {
    if (own.has(step.name))
      steps.set(
        step,
        nodes.some((node) => search.reachedAt(node.id) !== EMPTY),
      );
  }
  for (const probe of graph.probes) {
    if (!probe.step || !own.has(probe.step.name)) continue;
    if (probe.kind === "if-not")
      note(
        branches,
        probe.step,
        probe.edges.some((edge) => search.momentsOf(edge) !== EMPTY),
      );
    if (probe.kind === "move") {
      const already = search.space.set(probe.already);
      const acting = probe.edges
        .map((edge) => bdd.and(search.reachedAt(edge.from.id), ready(search)))
        .filter((states) => states !== EMPTY);
      if (acting.length > 0)
        note(
          moves,
          probe.step,
          acting.some((states) => !bdd.isWithin(states, already)),
        );
    }
  }
  return { steps, branches, moves };
}

function note(into: Map<Step, boolean>, step: Step, can: boolean): void {
  into.set(step, can || into.get(step) === true);
}
