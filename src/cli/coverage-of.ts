import type { Checked } from "../pipeline.js";
import type { Procedure } from "../program/procedure.js";
import { type CoverOptions, coverProcedure } from "../prove/coverage/cover.js";
import type { CoverageReport } from "../report/coverage/coverage-report.js";
import type { LeftOut } from "../report/report.js";

/** What the cards of a checked project catch, procedure by procedure; one with errors is left out, and told. */
export function coverageOf(checked: Checked, options: CoverOptions): CoverageReport {
  const { program, report } = checked;
  const proved = report.proofs.flatMap(({ procedure }) => program.procedures.get(procedure) ?? []);
  const leftOut: LeftOut[] = [...report.leftOut];
  const sound: Procedure[] = [];
  for (const procedure of proved) {
    const errors = errorsOf(checked, procedure);
    if (errors === 0) sound.push(procedure);
    else leftOut.push({ procedure: procedure.id, because: `it has ${errors === 1 ? "an error" : `${errors} errors`}` });
  }
  return {
    program,
    base: report.base,
    procedures: sound.map((procedure) => coverProcedure(program, procedure, options)),
    leftOut,
  };
}

function errorsOf({ report }: Checked, { id, span }: Procedure): number {
  const errors = report.findings.filter(({ severity }) => severity === "error");
  return errors.filter(({ subject, at }) => (subject.procedure ?? (at.file === span.file ? id : "")) === id).length;
}
