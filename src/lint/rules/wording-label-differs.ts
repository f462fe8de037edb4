import { type FindingKind, finding } from "../../diagnostics/finding.js";
import type { Condition } from "../../program/condition.js";
import type { Step } from "../../program/procedure.js";
import type { System, Thing } from "../../program/system.js";
import { cardWith } from "../example.js";
import { valueUnder } from "../places.js";
import { type LintRule, subjectOf } from "../rule.js";
import { mentions } from "../text.js";

const kind: FindingKind = {
  code: "wording/label-differs",
  severity: "warning",
  summary: "The words of a line do not use the label engraved on the control.",
  why:
    "The reader looks for the word that he has just heard. Based on FAA AC 120-71B, 5.4, as quoted elsewhere: the challenge " +
    "uses the words engraved on the control, and one thing has one name.",
  bad: cardWith(`
    - set: { suction: open }
      words: { challenge: Inlet valve, response: Open }`),
  good: cardWith(`
    - set: { suction: open }
      words: { challenge: Suction valve, response: Open }`),
};

/** W16 of the guidance, for lines about one thing; a line about several may call them by what they are together. */
export const labelDiffers: LintRule = {
  kind,
  step(step, context) {
    if (!step.words || !context.system) return [];
    const [thing, ...others] = thingsNamed(step, context.system);
    const words = "text" in step.words ? step.words.text : step.words.challenge;
    if (!thing || others.some((other) => other.family !== thing.family) || usesLabel(words, thing, context.system))
      return [];
    const written = context.places.under(step.span, "words");
    const at = (valueUnder(written, "challenge") ?? written)?.span ?? step.verb;
    const message = `the words of this line do not say \`${thing.label}\`, which is engraved on it`;
    const help = [
      `use \`${thing.label}\` in the words, or leave \`words\` out; if the panel says otherwise, mend its \`label\``,
    ];
    const labels = [{ at: thing.span, text: "declared here" }];
    return [
      finding(kind, at, message, { help, labels, subject: { ...subjectOf(context, step), thing: thing.family } }),
    ];
  },
};

function thingsNamed(step: Step, system: System): readonly Thing[] {
  switch (step.kind) {
    case "set":
    case "verify":
    case "press":
    case "hold":
      return step.moves.flatMap((move) => move.controls).flatMap((id) => known(system.controls.get(id)));
    case "check":
      return thingsJudged(step.condition, system);
    default:
      return [];
  }
}

/** The one thing that a plain condition is about; several for a condition over a family or a group. */
function thingsJudged(condition: Condition, system: System): readonly Thing[] {
  if (condition.kind === "and" || condition.kind === "or")
    return condition.of.flatMap((part) => thingsJudged(part, system));
  if (condition.kind === "is" && condition.of === "control") return known(system.controls.get(condition.thing));
  if (condition.kind === "light") return known(system.lights.get(condition.light));
  return condition.kind === "band" ? known(system.gauges.get(condition.gauge)) : [];
}

function known(thing: Thing | undefined): readonly Thing[] {
  return thing ? [thing] : [];
}

/** A guard goes by the name of what it covers too, and a light by that of the control that it sits in. */
function usesLabel(words: string, thing: Thing, system: System): boolean {
  const control = system.controls.get(thing.id)?.guards?.control ?? system.lights.get(thing.id)?.in;
  const labels = [thing.label, system.controls.get(control ?? "")?.label ?? thing.label];
  return labels.some((label) => mentions(words, label));
}
