import type { Allow } from "../../program/procedure.js";
import type { Rule } from "../../program/rule.js";
import type { MapNode, ScalarNode } from "../../syntax/tree.js";
import { unknownName } from "../names/complaints.js";
import { itemsAt, present, scalarAt, textAt } from "../read.js";
import type { StepIndex } from "./done.js";
import type { ProcedureText, Project } from "./text.js";

/** What a procedure accepts: one `allow` for each copy of the step, and of the rule, that it names. `rules` are those of its system. */
export function allowsOf(text: ProcedureText, index: StepIndex, rules: KnownRules, project: Project): readonly Allow[] {
  return itemsAt(text.root, "allow").flatMap((item): Allow[] => {
    if (item.kind !== "map") return [];
    const [code, because] = [textAt(item, "finding"), textAt(item, "because")];
    if (code === undefined || because === undefined) return [];
    const steps = named(item, "step", (name) => stepsNamed(name, text, index, project));
    const about = named(item, "rule", (name) => rulesNamed(name, index, rules, project));
    return steps.flatMap((step) =>
      about.map((rule) => ({ code, because, ...present({ step, rule }), span: item.span })),
    );
  });
}

export interface KnownRules {
  readonly rules: readonly Rule[];
  /** Their ids as written, also of rules that were left out for a fault. */
  readonly written: readonly string[];
}

/** What the name under a key stands for; one absent name where there is no such key. */
function named(
  item: MapNode,
  key: string,
  find: (name: ScalarNode) => readonly string[],
): readonly (string | undefined)[] {
  const name = scalarAt(item, key);
  return name?.text ? find(name) : [undefined];
}

function stepsNamed(
  { text: name, span }: ScalarNode,
  { id }: ProcedureText,
  index: StepIndex,
  { report }: Project,
): readonly string[] {
  const plans = index.named(name);
  if (plans.length === 0) report(unknownName(name, span, `the id of a step of \`${id}\``, index.ids()));
  return plans.map((plan) => plan.name);
}

/** A rule about `.side` is there for each; what a step prohibits goes by the step's name. */
function rulesNamed(
  { text: name, span }: ScalarNode,
  index: StepIndex,
  { rules, written }: KnownRules,
  { report }: Project,
): readonly string[] {
  const copies = rules.filter(({ id }) => id === name || id.startsWith(`${name}.`)).map(({ id }) => id);
  const found = copies.length > 0 ? copies : index.named(name).map((plan) => plan.name);
  const known = found.length > 0 || written.includes(name);
  if (!known) report(unknownName(name, span, "the id of a rule", written));
  return found;
}
