import type { Condition } from "../../program/condition.js";
import type { NameSyntax } from "../../syntax/condition/ast.js";
import { doneOf, unknownStep } from "../procedure/done.js";
import type { Scene } from "../scene.js";
import type { World } from "../system/system.js";
import { proceduresFor, type RuleProject } from "./where.js";

/**
 * What `done X` means in a rule: the step of that id in whichever of the rule's procedures is run, and where one of them performs
 * another, also in its place there. `PROCEDURE:X` is the step of that procedure only.
 */
export function doneInRule(
  { report }: Scene,
  world: World,
  project: RuleProject,
  only: readonly string[] | undefined,
): (step: NameSyntax) => Condition | undefined {
  return (step) => {
    const all = proceduresFor(world, project, only);
    const found = all.flatMap(({ procedure, index }) => {
      const own = ownName(step.text, procedure.id);
      const plans = index.named(own);
      return plans.length > 0 ? [doneOf(plans, step.span)] : [];
    });
    const different = new Map(found.map((condition) => [identity(condition), condition]));
    const of = [...different.values()];
    if (of.length > 0) return of.length === 1 ? of[0] : { kind: "or", of, span: step.span };
    const ids = new Set(all.flatMap(({ index }) => index.ids()));
    return void report(unknownStep(step, "a procedure that the rule is for", [...ids]));
  };
}

/** In the procedure's own run its steps have no prefix. */
function ownName(text: string, procedure: string): string {
  return text.startsWith(`${procedure}:`) ? text.slice(procedure.length + 1) : text;
}

function identity(condition: Condition): string {
  switch (condition.kind) {
    case "and":
    case "or":
      return `${condition.kind}(${condition.of.map(identity).join(" ")})`;
    case "done":
      return condition.step;
    default:
      return condition.kind;
  }
}
