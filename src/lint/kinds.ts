import type { FindingKind } from "../diagnostics/finding.js";
import { LINT_RULES } from "./registry.js";

/** The pages of all findings of this layer. */
export const LINT_KINDS: readonly FindingKind[] = LINT_RULES.map((rule) => rule.kind);
