import { type Finding, finding } from "../diagnostics/finding.js";
import type { Condition } from "../program/condition.js";
import { type Program, ruleIsFor } from "../program/program.js";
import type { Rule } from "../program/rule.js";
import type { System } from "../program/system.js";
import { walkCondition } from "../program/walk.js";
import { ORDER_IDLE } from "./kinds.js";
import type { TailResult } from "./merge.js";

/** Rules whose trigger names nothing that changes in any procedure they are for. */
export function idleRules(program: Program, results: readonly TailResult[]): readonly Finding[] {
  if (results.some(({ changing }) => changing === "unknown")) return [];
  const changing = new Set(results.flatMap((result) => [...result.changing]));
  const ids = new Set<string>();
  return program.rules.flatMap((rule) => {
    const procedures = [...program.procedures.values()].filter((procedure) => ruleIsFor(rule, procedure));
    const system = program.systems.get(rule.system);
    if (!system || procedures.length === 0 || ids.has(rule.id)) return [];
    ids.add(rule.id);
    const names = triggersOf(rule).flatMap((condition) => thingsBehind(system, condition));
    if (names.length === 0 || names.some((name) => changing.has(name))) return [];
    return [
      finding(
        ORDER_IDLE,
        rule.span,
        `nothing that sets off rule \`${rule.id}\` can change in any procedure it is for`,
        {
          help: ["leave it out, or look for a name that is not the one meant"],
          subject: { rule: rule.id },
        },
      ),
    ];
  });
}

function triggersOf({ form }: Rule): readonly Condition[] {
  switch (form.kind) {
    case "never":
    case "always":
      return [form.condition];
    case "after":
      return form.trigger ? [form.trigger] : [form.condition];
    default:
      return [form.trigger];
  }
}

/** Controls, equipment, gauges and marks that a condition comes down to. */
function thingsBehind(system: System, condition: Condition, seen = new Set<string>()): readonly string[] {
  return [...walkCondition(condition)].flatMap((part): readonly string[] => {
    switch (part.kind) {
      case "is":
        return part.of === "fit" ? [] : [part.thing];
      case "named": {
        if (seen.has(part.condition)) return [];
        seen.add(part.condition);
        const means = system.conditions.get(part.condition)?.means;
        return means ? thingsBehind(system, means, seen) : [];
      }
      case "light": {
        const light = system.lights.get(part.light);
        if (!light || seen.has(part.light)) return [];
        seen.add(part.light);
        return [light.litWhen, light.flashingWhen].flatMap((when) => (when ? thingsBehind(system, when, seen) : []));
      }
      case "compare":
        return [part.left, part.right].flatMap((term) => (term.kind === "gauge" ? [term.gauge] : []));
      case "near":
        return [part.left, part.right];
      case "band":
        return [part.gauge];
      case "done":
        return [`done ${part.step}`];
      case "recorded":
        return [`recorded ${part.gauge}`];
      default:
        return [];
    }
  });
}
