import type { Severity } from "../diagnostics/finding.js";
import { UNPROVED } from "../prove/kinds.js";
import { atLeast, type Report } from "../report/report.js";

/**
 * Whether a run fails: a finding of the failing level stands, or something is unproved. The latter fails at any level, since a proof
 * that ran out of its limit is no proof; only the project (`findings:`) or an `allow` can accept it.
 */
export function fails({ findings }: Report, level: Severity): boolean {
  return findings.some(({ severity, code }) => atLeast(severity, level) || code === UNPROVED.code);
}
