import type { Finding, FindingKind, Severity } from "../diagnostics/finding.js";
import type { Proof } from "../program/verdict.js";

/** What a run has to say, for every renderer. Findings are sorted; paths in them are relative to the project's root. */
export interface Report {
  /** The project's title. */
  readonly project: string;
  /** What stands before a file's path where it is shown: the way from the current folder to the project, `` or `cards/`. */
  readonly base: string;
  readonly findings: readonly Finding[];
  readonly proofs: readonly Proof[];
  /** Procedures that no proof was tried of, and why. */
  readonly leftOut: readonly LeftOut[];
  /** Accepted by an `allow`; not counted, listed by the formats for machines. */
  readonly allowed: readonly AllowedFinding[];
}

export interface LeftOut {
  readonly procedure: string;
  readonly because: string;
}

export interface AllowedFinding {
  readonly finding: Finding;
  readonly because: string;
}

/** What a renderer is told beside the report. */
export interface ReportContext {
  readonly version: string;
  readonly kinds: readonly FindingKind[];
  /** Wall time of the run, for people only: formats for machines leave it out so that they stay the same, byte for byte. */
  readonly milliseconds?: number;
}

export const CAUTION =
  "Check against the approved manuals and the local rules; have it approved by those licensed to do so.";

const ORDER: readonly Severity[] = ["info", "warning", "error"];

/** True when `severity` is `least` or worse. */
export function atLeast(severity: Severity, least: Severity): boolean {
  return ORDER.indexOf(severity) >= ORDER.indexOf(least);
}
