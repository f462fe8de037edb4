import type { ProcedureCoverage } from "../../program/coverage.js";
import type { Program } from "../../program/program.js";
import type { LeftOut } from "../report.js";

/** What a run of `coverage` has to say, for every renderer. */
export interface CoverageReport {
  readonly program: Program;
  /** Stands before a file's path where it is shown. */
  readonly base: string;
  readonly procedures: readonly ProcedureCoverage[];
  /** Procedures that nothing was asked about, and why. */
  readonly leftOut: readonly LeftOut[];
}

/** How many answers a limit cut off. */
export function unprovedRows({ lights, faults, slips, leftOver, failures }: ProcedureCoverage): number {
  return (
    lights.filter(({ lit, out }) => lit === "unproved" || out === "unproved").length +
    faults.rows.filter(({ revealed }) => revealed === "unproved").length +
    (slips?.rows ?? []).filter(({ verdict }) => verdict === "unproved").length +
    (leftOver ?? []).filter(({ harms }) => harms.some(({ code }) => code === "prove/unproved")).length +
    (failures ?? []).filter(({ verdict }) => verdict === "unproved").length
  );
}
