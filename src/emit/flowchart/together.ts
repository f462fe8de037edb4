import type { Condition } from "../../program/condition.js";
import type { Step } from "../../program/procedure.js";
import { everyStep } from "../card/walk.js";
import type { Meeting, SequenceFlow } from "./flow.js";
import { node, type Site, sequence } from "./nodes.js";

export function togetherFlow(site: Site, step: Step & { kind: "together" }): SequenceFlow {
  const lanes = step.lanes.map((lane) => ({
    title: site.procedure.crew.get(lane.by) ?? lane.by,
    flow: site.flowOf({ ...site, sayWho: false }, lane.steps),
  }));
  const bar = (end: string) => node(`${step.name}#${end}`, "bar", []).node;
  return sequence([{ kind: "lanes", fork: bar("fork"), join: bar("join"), lanes, meetings: meetingsOf(step) }]);
}

/** A wait of one lane for what another lane has done. */
function meetingsOf(step: Step & { kind: "together" }): readonly Meeting[] {
  const laneOf = new Map<string, number>();
  step.lanes.forEach((lane, index) => {
    for (const inner of everyStep(lane.steps)) laneOf.set(inner.name, index);
  });
  return step.lanes.flatMap((lane, index) =>
    everyStep(lane.steps).flatMap((inner) =>
      inner.kind !== "wait-for"
        ? []
        : doneIn(inner.condition)
            .filter((name) => laneOf.has(name) && laneOf.get(name) !== index)
            .map((name) => ({ from: name, to: inner.name })),
    ),
  );
}

function doneIn(condition: Condition): readonly string[] {
  switch (condition.kind) {
    case "done":
      return [condition.step];
    case "and":
    case "or":
      return condition.of.flatMap(doneIn);
    case "for":
    case "checked":
      return doneIn(condition.of);
    default:
      return [];
  }
}
