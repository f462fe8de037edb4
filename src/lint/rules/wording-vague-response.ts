import { type Finding, type FindingKind, finding } from "../../diagnostics/finding.js";
import { cardWith } from "../example.js";
import { handlesOf, isPosition } from "../handles.js";
import type { Prose } from "../prose.js";
import { type CardContext, type LintRule, subjectOf } from "../rule.js";
import { plainly } from "../text.js";

const kind: FindingKind = {
  code: "wording/vague-response",
  severity: "warning",
  summary: "A response names no state: `set`, `checked`, `as required`.",
  why:
    "A crew that answers `set` answers the same whether the handle is right or wrong; a response with the position in " +
    "it has to be read off the control. Based on NASA CR-177549 (Degani and Wiener 1990), appendix A, and FAA AC 120-71B, " +
    "5.4, both as quoted elsewhere, and on NTSB recommendation A-11-022, which says so of a flap lever.",
  bad: cardWith(`
    - set: { suction: open }
      words: { challenge: Suction, response: Set }`),
  good: cardWith(`
    - set: { suction: open }
      words: { challenge: Suction, response: Open }`),
};

/** `set`, `checked` and `as required` are the sources'; the others say as little, by common practice. */
const VAGUE =
  "set, checked, check, as required, as needed, as necessary, as appropriate, verified, confirmed, adjusted, ok";
const VAGUE_RESPONSES = new Set(VAGUE.split(", ").map(plainly));

/** W1 of the guidance: a response names the state or the value that is wanted. */
export const vagueResponse: LintRule = {
  kind,
  prose: (prose, context) => (isVague(prose) && !isEngraved(prose, context) ? [vague(prose, context)] : []),
};

function isVague(prose: Prose): boolean {
  const isAnswer = prose.under === "response" || (prose.under === "say" && (prose.after ?? 0) > 0);
  return isAnswer && VAGUE_RESPONSES.has(plainly(prose.text));
}

/** `SET` is a position where it is engraved as one, as on many a parking brake. */
function isEngraved(prose: Prose, { system }: CardContext): boolean {
  if (!system) return false;
  const isAbout = prose.under === "response" && prose.step !== undefined;
  const handles = isAbout ? handlesOf(prose.step, system).map(({ control }) => control) : [...system.controls.values()];
  return handles.some((control) => control.positions.some((position) => isPosition(prose.text, position)));
}

function vague(prose: Prose, context: CardContext): Finding {
  return finding(kind, prose.at, `the response \`${prose.text}\` does not say which state is wanted`, {
    help: ["answer with the position, the light or the value that is seen, as `OPEN` or `3.0 to 4.5 bar`"],
    subject: subjectOf(context, prose.step),
  });
}
