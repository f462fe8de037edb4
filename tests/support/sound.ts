import type { Procedure } from "../../src/program/procedure.js";
import type { Program } from "../../src/program/program.js";
import { interpret, type OracleReport } from "../oracle/interpreter.js";
import { everyStep } from "../oracle/text.js";

/**
 * What the interpreter says of a procedure without errors; else why it is passed over. A procedure that is performed answers for
 * itself: what is wrong with it is told of it alone.
 */
export function soundReport(program: Program, procedure: Procedure, limit: number): OracleReport | string {
  const report = interpret(program, procedure, { limit });
  const all = [report, ...performedBy(program, procedure).map((inner) => interpret(program, inner, { limit }))];
  if (all.some(({ findings }) => findings.some(({ severity }) => severity === "error"))) return "errors as it stands";
  return report.tails.length === 0 ? "no start" : report;
}

function performedBy(program: Program, procedure: Procedure): readonly Procedure[] {
  return [...everyStep(procedure.steps)].flatMap((step) => {
    const inner = step.kind === "perform" ? program.procedures.get(step.target.id) : undefined;
    return inner ? [inner] : [];
  });
}
