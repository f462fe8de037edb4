import { type Finding, type FindingKind, finding } from "../../diagnostics/finding.js";
import type { Position } from "../../program/system.js";
import { cardWith } from "../example.js";
import { type Handle, handlesOf, isPosition } from "../handles.js";
import type { Prose } from "../prose.js";
import { type CardContext, type LintRule, subjectOf } from "../rule.js";
import { mentions } from "../text.js";

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

/** A response that begins with a position of the control, and nowhere names the one that the step is about. */
export const responseDiffers: LintRule = {
  kind,
  prose(prose, context) {
    if (prose.under !== "response" || !prose.step || !context.system) return [];
    const [handle, ...others] = handlesOf(prose.step, context.system);
    if (!handle || others.some(({ control }) => control.family !== handle.control.family)) return [];
    const says = prose.text.split(/[,;:.(]/u)[0] ?? "";
    const other = handle.control.positions.find((position) => isPosition(says, position));
    return other && !namesWanted(prose.text, handle) ? [differs(prose, other, handle, context)] : [];
  },
};

function namesWanted(text: string, { wanted }: Handle): boolean {
  return wanted.some(({ id, placard }) => mentions(text, placard) || mentions(text, id));
}

function differs(prose: Prose, other: Position, { control, wanted }: Handle, context: CardContext): Finding {
  const own = wanted.map(({ placard }) => placard).join("/");
  const message = `the response says \`${other.placard}\`, and the step wants \`${control.label}\` at \`${own}\``;
  const help = [`answer \`${own}\`, or mend the step if the card is right`];
  const labels = prose.step ? [{ at: prose.step.verb, text: "what is proved" }] : [];
  const subject = { ...subjectOf(context, prose.step), thing: control.id };
  return finding(kind, prose.at, message, { help, labels, subject });
}
