import type { Span } from "../../source/file.js";
import type { VerbName } from "../../syntax/shape/verbs.js";
import type { Entry, MapNode } from "../../syntax/tree.js";
import type { ProcedureText } from "./text.js";

/** One writing-out of a text in a procedure: its own steps, or a part or another procedure put in place by `perform`. */
export interface Frame {
  readonly text: ProcedureText;
  /** The part or procedure as it is called, `panel-test`; absent for the procedure itself. */
  readonly called?: string | undefined;
  /** Stands before the names of its steps: empty, `panel-test:`, `start.port:`. */
  readonly prefix: string;
  /** The side that it is performed for, `.port`; empty where it is performed for none of its own. */
  readonly copies: string;
  /** The frame of the procedure that a part belongs to; absent for a procedure. */
  readonly owner: Frame | undefined;
}

/** A step that will be: one for each copy of a written step, with its name and number, conditions not read yet. */
export interface StepPlan {
  readonly node: MapNode;
  readonly verb: Entry;
  readonly kind: VerbName;
  readonly id?: string | undefined;
  readonly frame: Frame;
  /** What `.side` means in it. */
  readonly side?: string | undefined;
  /** Of which copy it is, appended to its name: empty, `.port`. */
  readonly copy: string;
  /** Set on copies: the side that this one is for. */
  readonly copySide?: string | undefined;
  readonly by: readonly string[];
  readonly number: string;
  /** Given once all plans of the procedure are there. */
  name: string;
  readonly branches: readonly Branch[];
  /** Of a `record` written for several gauges: the one of this copy. */
  readonly gauge?: string | undefined;
  /** Of a `perform`: what is performed. */
  readonly target?: Target | undefined;
}

/** A list of steps inside a step. */
export interface Branch {
  /** `then`, `else`, `while`, `if-not`, `way`, `option`, `lane`, `steps`. */
  readonly slot: string;
  readonly plans: readonly StepPlan[];
  /** Where it is written, for ways. */
  readonly span: Span;
  /** Of an `if-not` for one light: the light; of a lane: who; of an option: its title. */
  readonly key?: string | undefined;
  readonly node?: MapNode | undefined;
}

export interface Target {
  readonly kind: "part" | "procedure";
  readonly id: string;
  readonly title: string;
  readonly frame: Frame;
  readonly side?: string | undefined;
}

/** Every plan of a list and inside it, in written order. */
export function* walkPlans(plans: readonly StepPlan[]): Generator<StepPlan> {
  for (const plan of plans) {
    yield plan;
    for (const branch of plan.branches) yield* walkPlans(branch.plans);
  }
}

export function plansIn(plan: StepPlan, slot: string): readonly StepPlan[] {
  return plan.branches.find((branch) => branch.slot === slot)?.plans ?? [];
}
