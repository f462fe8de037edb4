import type { Finding, FindingKind } from "../../diagnostics/finding.js";
import type { Check, Inspected } from "./context.js";
import { CONTRAST, checkContrast } from "./contrast.js";
import { checkGlyphs, MISSING_GLYPH } from "./glyphs.js";
import { CAUTION_PARTED, checkAlertsTogether, checkStepsWhole, STEP_ACROSS_PAGES } from "./parted.js";
import { checkSettings, checkSheet, DOES_NOT_FIT_SHEET, UNKNOWN_SETTING } from "./settings.js";
import { checkTypeSize, TYPE_TOO_SMALL } from "./type-size.js";

export const INSPECT_KINDS: readonly FindingKind[] = [
  CAUTION_PARTED,
  CONTRAST,
  DOES_NOT_FIT_SHEET,
  MISSING_GLYPH,
  STEP_ACROSS_PAGES,
  TYPE_TOO_SMALL,
  UNKNOWN_SETTING,
];

const CHECKS: readonly Check[] = [
  checkSettings,
  checkSheet,
  checkTypeSize,
  checkContrast,
  checkStepsWhole,
  checkAlertsTogether,
  checkGlyphs,
];

/** Measures finished pages against what their project asked for and the guidance on print: findings about what was drawn, not about what was meant. */
export function inspectPages(inspected: Inspected): readonly Finding[] {
  return CHECKS.flatMap((check) => check(inspected));
}
