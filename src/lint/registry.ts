import type { LintRule } from "./rule.js";
import { bareLegend } from "./rules/light-bare-legend.js";
import { colourAgainstAlert } from "./rules/light-colour-against-alert.js";
import { oneSense } from "./rules/light-one-sense.js";
import { lightOrder } from "./rules/light-order.js";
import { offPanel } from "./rules/map-off-panel.js";
import { onePlace } from "./rules/map-one-place.js";
import { panelsOverlap } from "./rules/map-panels-overlap.js";
import { droppedParagraph } from "./rules/record-dropped-paragraph.js";
import { effectiveBeforeDate } from "./rules/record-effective-before-date.js";
import { noRevision } from "./rules/record-no-revision.js";
import { noSummary } from "./rules/record-no-summary.js";
import { noUseWhen } from "./rules/record-no-use-when.js";
import { omittedYetThere } from "./rules/record-omitted-yet-there.js";
import { outOfOrder } from "./rules/record-out-of-order.js";
import { sameTitle } from "./rules/record-same-title.js";
import { shortReason } from "./rules/record-short-reason.js";
import { unaccountedLine } from "./rules/record-unaccounted-line.js";
import { criticalLate } from "./rules/structure-critical-late.js";
import { earlyCompletion } from "./rules/structure-early-completion.js";
import { lateMemory } from "./rules/structure-late-memory.js";
import { longSection } from "./rules/structure-long-section.js";
import { manyMemoryItems } from "./rules/structure-many-memory-items.js";
import { waitWithoutPause } from "./rules/structure-wait-without-pause.js";
import { actionInNote } from "./rules/wording-action-in-note.js";
import { allCapitals } from "./rules/wording-all-capitals.js";
import { conditionLast } from "./rules/wording-condition-last.js";
import { injuryAsCaution } from "./rules/wording-injury-as-caution.js";
import { labelDiffers } from "./rules/wording-label-differs.js";
import { longStep } from "./rules/wording-long-step.js";
import { manyConditions } from "./rules/wording-many-conditions.js";
import { notImperative } from "./rules/wording-not-imperative.js";
import { outsideModel } from "./rules/wording-outside-model.js";
import { placeholder } from "./rules/wording-placeholder.js";
import { responseDiffers } from "./rules/wording-response-differs.js";
import { sameLabel } from "./rules/wording-same-label.js";
import { twoActions } from "./rules/wording-two-actions.js";
import { unmeasurable } from "./rules/wording-unmeasurable.js";
import { vagueResponse } from "./rules/wording-vague-response.js";

/** Every rule of this layer, in the order of their codes within wording, structure, lights, maps and records. */
export const LINT_RULES: readonly LintRule[] = [
  actionInNote,
  allCapitals,
  conditionLast,
  injuryAsCaution,
  labelDiffers,
  longStep,
  manyConditions,
  notImperative,
  outsideModel,
  placeholder,
  responseDiffers,
  sameLabel,
  twoActions,
  unmeasurable,
  vagueResponse,
  criticalLate,
  earlyCompletion,
  lateMemory,
  longSection,
  manyMemoryItems,
  waitWithoutPause,
  bareLegend,
  colourAgainstAlert,
  oneSense,
  lightOrder,
  offPanel,
  onePlace,
  panelsOverlap,
  droppedParagraph,
  effectiveBeforeDate,
  noRevision,
  noSummary,
  noUseWhen,
  omittedYetThere,
  outOfOrder,
  sameTitle,
  shortReason,
  unaccountedLine,
];
