import { isVerb } from "../../syntax/shape/verbs.js";
import type { StepPlan } from "./plan.js";
import { walkPlans } from "./plan.js";

/**
 * Gives every step its name. The author's id where there is one; else the verb and what it is about, `set-breaker`, `check-oil-pressure`:
 * such a name outlives a line put in before it. Before it stands what is performed, `PROCEDURE:`; after it the side of a copy, `.port`;
 * a name that is taken gets a number, `-2`, in written order.
 */
export function nameSteps(plans: readonly StepPlan[]): void {
  const taken = new Set<string>();
  const counts = new Map<string, number>();
  const all = [...walkPlans(plans)];
  for (const plan of all) if (plan.id !== undefined) plan.name = free(plan, plan.id, taken, counts);
  for (const plan of all) if (plan.id === undefined) plan.name = free(plan, described(plan), taken, counts);
}

function free({ frame, copy }: StepPlan, base: string, taken: Set<string>, counts: Map<string, number>): string {
  const first = `${frame.prefix}${base}${copy}`;
  for (let count = counts.get(first) ?? 1; ; count++) {
    const name = count === 1 ? first : `${frame.prefix}${base}-${count}${copy}`;
    if (taken.has(name)) continue;
    counts.set(first, count + 1);
    taken.add(name);
    return name;
  }
}

/** As many words of what the verb is about as make a name that can still be read. */
const WORDS = 4;

function described({ kind, verb, gauge, copySide }: StepPlan): string {
  const subject = gauge !== undefined && copySide === undefined ? gauge : subjectOf(verb.value);
  const words = subject.match(/[\p{L}\p{N}]+(?:[.-][\p{L}\p{N}]+)*/gu) ?? [];
  const said = words.filter((word) => !QUIET.has(word)).slice(0, WORDS);
  const about = said.join("-").toLowerCase().replaceAll(".side", "");
  return about === "" ? kind : `${kind}-${about}`;
}

const QUIET: ReadonlySet<string> = new Set(["checked", "all", "any", "either", "is"]);

/** A control, a condition, words; nothing for verbs whose value is a list of steps or ways. */
function subjectOf(value: StepPlan["verb"]["value"]): string {
  if (value.kind === "scalar") return value.text;
  if (value.kind === "map") return value.entries[0]?.key.text ?? "";
  const [first] = value.items;
  if (first?.kind === "map" && first.entries.length === 1 && !isVerb(first.entries[0]!.key.text)) {
    return first.entries[0]!.key.text;
  }
  return first?.kind === "scalar" ? first.text : "";
}
