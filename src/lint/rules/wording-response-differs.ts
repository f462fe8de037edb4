import { type Finding, type FindingKind, finding } from "../../diagnostics/finding.js";
import type { Step } from "../../program/procedure.js";
import type { Control, System } from "../../program/system.js";
import { cardWith } from "../example.js";
import type { Prose } from "../prose.js";
import { type CardContext, type LintRule, subjectOf } from "../rule.js";
import { mentions, plainly } from "../text.js";

const kind: FindingKind = {
  code: "wording/response-differs",
  severity: "error",
  summary: "The response on the card names another position than the step.",
  why:
    "The proof is about the position in the step; the crew moves the handle to the one in print. They must be the same. " +
    "Follows from what this tool does; no published source.",
  bad: cardWith(`
    - set: { suction: open }
      words: { challenge: Suction, response: Closed }`),
  good: cardWith(`
    - set: { suction: open }
      words: { challenge: Suction, response: Open }`),
};

/** A response that names a position of the control, and not the one that the step is about. */
export const responseDiffers: LintRule = {
  kind,
  prose(prose, context) {
    if (prose.under !== "response" || !prose.step || !context.system) return [];
    return wanted(prose.step, context.system)
      .slice(0, 1)
      .flatMap(({ control, positions }) => compare(prose, control, positions, context));
  },
};

interface Wanted {
  readonly control: Control;
  readonly positions: readonly string[];
}

/** Where a line wants its controls; nothing for a line about controls of more than one kind. */
function wanted(step: Step, system: System): readonly Wanted[] {
  const pairs = pairsOf(step).flatMap(({ control: id, positions }) => {
    const control = system.controls.get(id);
    return control ? [{ control, positions }] : [];
  });
  return new Set(pairs.map((pair) => pair.control.family)).size === 1 ? pairs : [];
}

function pairsOf(step: Step): readonly { readonly control: string; readonly positions: readonly string[] }[] {
  if (step.kind === "set" || step.kind === "verify") {
    return step.moves.flatMap((move) => move.controls.map((control) => ({ control, positions: [move.position] })));
  }
  if (step.kind !== "check" || step.condition.kind !== "is" || step.condition.negated) return [];
  return [{ control: step.condition.thing, positions: step.condition.values }];
}

function compare(
  prose: Prose,
  control: Control,
  wantedIds: readonly string[],
  context: CardContext,
): readonly Finding[] {
  const says = plainly(prose.text.split(/[,;:.(]/u)[0] ?? "");
  const other = control.positions.find(({ id, placard }) => says === plainly(placard) || says === plainly(id));
  const fits = control.positions.filter(({ id }) => wantedIds.includes(id));
  if (!other || fits.some(({ id, placard }) => mentions(prose.text, placard) || mentions(prose.text, id))) return [];
  const own = fits[0]?.placard ?? wantedIds.join("/");
  const message = `the response says \`${other.placard}\`, and the step wants \`${control.label}\` at \`${own}\``;
  const help = [`answer \`${own}\`, or mend the step if the card is right`];
  const labels = prose.step ? [{ at: prose.step.verb, text: "what is proved" }] : [];
  const subject = { ...subjectOf(context, prose.step), thing: control.id };
  return [finding(kind, prose.at, message, { help, labels, subject })];
}
