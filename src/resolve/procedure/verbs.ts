import type { Step } from "../../program/procedure.js";
import type { Scene } from "../scene.js";
import type { StepPlan } from "./plan.js";
import type { ProcedureText, Project } from "./text.js";

/** What reading a verb needs: the scene of its step, and how to build the steps inside it. */
export interface Verbs {
  readonly project: Project;
  readonly scene: Scene;
  readonly steps: (plans: readonly StepPlan[]) => readonly Step[];
  /** The scene of a text that is put in place. */
  readonly sceneOf: (text: ProcedureText, side: string | undefined) => Scene;
}
