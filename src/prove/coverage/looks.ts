import { and, type Expression, FALSE, not, or } from "../../machine/expression.js";
import type { Edge } from "../../machine/graph/graph.js";
import type { Model } from "../../machine/model.js";
import type { Condition } from "../../program/condition.js";
import type { Step } from "../../program/procedure.js";
import type { System } from "../../program/system.js";
import { walkCondition } from "../../program/walk.js";
import type { Context } from "../context.js";
import { expectedOf } from "../whole/observe.js";

/** An act at which the crew may see that something is not as it should be. */
export interface Look {
  readonly step: Step;
  readonly edge: Edge;
  /** Not as listed, or the check fails. */
  readonly wrong: Expression;
  /** `list`: of lights that are always as listed where all is well. `check`: one that may fail all the same. */
  readonly kind: "list" | "check";
}

export interface Looks {
  readonly all: readonly Look[];
  /** Ways that are gone only where something was seen to be wrong, whatever the state. */
  readonly answers: ReadonlySet<Edge>;
}

/** Every observation and every failing branch of a check. */
export function looksOf(context: Context): Looks {
  const { graph, world } = context.model;
  const all: Look[] = [];
  const answers = new Set<Edge>();
  for (const probe of graph.probes) {
    if (probe.kind === "observe" && probe.step) {
      const wrong = probe.step.kind === "observe" ? wrongList(context, probe.step) : wrongCheck(context, probe.step);
      for (const edge of probe.edges) all.push({ step: probe.step, edge, wrong, kind: "list" });
    }
  }
  const listed = new Set(all.map(({ edge }) => edge));
  const asserted = new Set(all.map(({ step }) => step));
  for (const edge of graph.edges) {
    const { step, act } = edge;
    if (act.kind !== "look" || !step || listed.has(edge)) continue;
    if (asserted.has(step)) answers.add(edge);
    else if (step.kind === "check" && act.outcome === false)
      all.push({ step, edge, wrong: not(world.lower(untimed(step.condition, world.system))), kind: "check" });
  }
  return { all, answers };
}

function wrongList(context: Context, step: Extract<Step, { readonly kind: "observe" }>): Expression {
  const { world } = context.model;
  const lights = step.lights.filter((light) => world.isFitted(light) && hasLogic(context.model, light));
  return or(
    ...lights.map((light) => {
      const lit = world.lowerLight(light, "lit");
      const expected = expectedOf(context, step, light);
      return or(and(expected, not(lit)), and(lit, not(expected)));
    }),
  );
}

function wrongCheck(context: Context, step: Step): Expression {
  return step.kind === "check" ? not(context.model.world.lower(step.condition)) : FALSE;
}

export function hasLogic({ world }: Model, light: string): boolean {
  return isJudged(world.system, light);
}

/** Where a check can pass: a time is the crew's to keep, and a light without logic may read anything. */
export function untimed(condition: Condition, system: System): Condition {
  const open = (part: Condition): Condition => {
    switch (part.kind) {
      case "and":
      case "or":
        return { ...part, of: part.of.map(open) };
      case "for":
        return part.of;
      default:
        return part;
    }
  };
  return namesUnjudged(condition, system) ? { kind: "constant", value: true, span: condition.span } : open(condition);
}

function namesUnjudged(condition: Condition, system: System): boolean {
  return [...walkCondition(condition)].some((part) => part.kind === "light" && !isJudged(system, part.light));
}

/** Whether the light has logic. */
export function isJudged({ lights }: System, light: string): boolean {
  const declared = lights.get(light);
  return declared?.litWhen !== undefined || declared?.flashingWhen !== undefined;
}

/** The condition with each light read otherwise. */
export function withLights(condition: Condition, change: (light: string) => string): Condition {
  switch (condition.kind) {
    case "and":
    case "or":
      return { ...condition, of: condition.of.map((part) => withLights(part, change)) };
    case "not":
    case "for":
    case "checked":
      return { ...condition, of: withLights(condition.of, change) };
    case "light":
      return { ...condition, light: change(condition.light) };
    default:
      return condition;
  }
}
