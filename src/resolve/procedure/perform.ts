import type { Verb } from "../../program/procedure.js";
import { BEGINS } from "../condition/purpose.js";
import { readCondition } from "../condition/written.js";
import { allThere, itemsAt } from "../read.js";
import { plansIn, type StepPlan } from "./plan.js";
import type { Verbs } from "./verbs.js";

/** A part or another procedure in place; what a procedure takes for granted is proved where it is performed. */
export function performOf(plan: StepPlan, { steps, sceneOf }: Verbs): Verb | undefined {
  const { target } = plan;
  if (!target) return undefined;
  const { kind, id, title, frame, side } = target;
  const scene = sceneOf(frame.text, side);
  const written = kind === "procedure" ? itemsAt(frame.text.root, "begins") : [];
  const begins = written.map((each) => readCondition(each.kind === "scalar" ? each : undefined, scene, BEGINS));
  if (!allThere(begins)) return undefined;
  return { kind: "perform", target: { kind, id, title }, begins, steps: steps(plansIn(plan, "steps")) };
}
