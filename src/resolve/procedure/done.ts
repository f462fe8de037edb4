import type { Finding } from "../../diagnostics/finding.js";
import type { Condition } from "../../program/condition.js";
import type { Span } from "../../source/file.js";
import type { NameSyntax } from "../../syntax/condition/ast.js";
import { unknownName } from "../names/complaints.js";
import { type StepPlan, walkPlans } from "./plan.js";

/** The steps of one procedure, by the ids that their authors gave. */
export class StepIndex {
  readonly #byId = new Map<string, StepPlan[]>();
  readonly #byName = new Map<string, StepPlan>();

  constructor(plans: readonly StepPlan[]) {
    for (const plan of walkPlans(plans)) {
      this.#byName.set(plan.name, plan);
      if (plan.id === undefined) continue;
      const same = this.#byId.get(plan.id);
      if (same) same.push(plan);
      else this.#byId.set(plan.id, [plan]);
    }
  }

  /**
   * The plans that a step's name means: `crank`; `crank.port` for one copy; `drill:crank` for a step of what is performed. Seen from a
   * step, ids of its own file, nearest first; without one, those of every file put in place.
   */
  named(text: string, from?: StepPlan): readonly StepPlan[] {
    const exact = (from && this.#byName.get(from.frame.prefix + text)) ?? this.#byName.get(text);
    const colon = text.lastIndexOf(":");
    const called = colon < 0 ? undefined : text.slice(0, colon);
    const same = this.#byId.get(text.slice(colon + 1)) ?? [];
    const candidates =
      called === undefined ? same.filter((plan) => inView(plan, from)) : same.filter((plan) => isCalled(plan, called));
    if (candidates.length === 0) return exact ? [exact] : [];
    return from ? nearest(candidates, from) : candidates;
  }

  ids(from?: StepPlan): string[] {
    const seen = [...this.#byId].filter(([, plans]) => plans.some((plan) => inView(plan, from)));
    return seen.map(([id]) => id);
  }
}

/** Of the copies for the sides all must be done; of a step that is performed several times, any. */
export function doneOf(plans: readonly StepPlan[], span: Span): Condition {
  const copies = new Map<string, Set<string>>();
  for (const plan of plans) {
    const copy = plan.frame.copies + plan.copy;
    copies.set(copy, (copies.get(copy) ?? new Set()).add(plan.name));
  }
  const each = [...copies.values()].map((names): Condition => {
    const any = [...names].map((step): Condition => ({ kind: "done", step, span }));
    return any.length === 1 ? any[0]! : { kind: "or", of: any, span };
  });
  return each.length === 1 ? each[0]! : { kind: "and", of: each, span };
}

export function unknownStep(step: NameSyntax, where: string, ids: readonly string[]): Finding {
  return unknownName(step.text, step.span, `the id of a step of ${where}`, ids);
}

function inView(plan: StepPlan, from: StepPlan | undefined): boolean {
  return from === undefined || (plan.frame.owner ?? plan.frame) === (from.frame.owner ?? from.frame);
}

function isCalled({ frame }: StepPlan, called: string): boolean {
  return frame.called === called || frame.text.id === called || frame.prefix === `${called}:`;
}

/** In the same part first, and there in the same copy. */
function nearest(candidates: readonly StepPlan[], from: StepPlan): readonly StepPlan[] {
  const here = candidates.filter((plan) => plan.frame === from.frame);
  const near = here.length > 0 ? here : candidates;
  const copy = near.filter((plan) => from.copy !== "" && plan.copy !== "" && from.copy.startsWith(plan.copy));
  return copy.length > 0 ? copy : near;
}
