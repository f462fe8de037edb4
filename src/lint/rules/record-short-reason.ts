import { type Finding, type FindingKind, finding } from "../../diagnostics/finding.js";
import type { Span } from "../../source/file.js";
import { cardWith } from "../example.js";
import { type LintRule, subjectOf } from "../rule.js";
import { wordsOf } from "../text.js";
import { everyStep } from "../walk.js";

const kind: FindingKind = {
  code: "record/short-reason",
  severity: "info",
  summary: "The reason for a departure from the baseline is too short to be one.",
  why:
    "In three years the reason is all that is left of the meeting. Fewer than three words, or a phrase such as `see above`, " +
    "tell the next author nothing. Common practice, no published source; three words is our own default.",
  bad: cardWith(`
    - set: { suction: open }
      added: Habit.`),
  good: cardWith(`
    - set: { suction: open }
      added: The maker's valve is open at all times; ours is not.`),
};

/** Our own figure; an adjustable default. */
const LEAST_WORDS = 3;
const EMPTY_PHRASE =
  /^(see above|as (above|before|usual|per sop)|company (policy|sop)|for safety reasons?|n\/?a|not applicable)\W*$/iu;

/** The reasons of `added`, `moved`, `omits` and `allow`. */
export const shortReason: LintRule = {
  kind,
  procedure(procedure, context) {
    const steps = everyStep(procedure.steps).flatMap((step) =>
      (["added", "moved"] as const).flatMap((key) => {
        const at = context.places.under(step.span, key)?.span ?? step.verb;
        return judged(step[key], at, subjectOf(context, step));
      }),
    );
    const others = [...procedure.omits, ...procedure.allows].flatMap(({ because, span }) => {
      return judged(because, context.places.under(span, "because")?.span ?? span, subjectOf(context));
    });
    return [...steps, ...others];
  },
};

function judged(reason: string | undefined, at: Span, subject: Finding["subject"]): readonly Finding[] {
  if (reason === undefined || (wordsOf(reason).length >= LEAST_WORDS && !EMPTY_PHRASE.test(reason))) return [];
  const help = ["say what differs here, so that the next author can tell whether it still does"];
  return [finding(kind, at, `\`${reason}\` does not say why`, { help, subject })];
}
