import type { Finding } from "../diagnostics/finding.js";
import type { Procedure, Step } from "../program/procedure.js";
import type { Program } from "../program/program.js";
import { walkSteps } from "../program/walk.js";

/** Paths of the files in which something could not be understood. */
export function brokenFiles(findings: readonly Finding[], hard: ReadonlySet<string>): ReadonlySet<string> {
  return new Set(
    findings.filter(({ code, severity }) => severity === "error" && hard.has(code)).map(({ at }) => at.file.path),
  );
}

/** Why nothing can be proved of a procedure, in words that follow its name; undefined where it can. */
export function whyNotProved(procedure: Procedure, program: Program, broken: ReadonlySet<string>): string | undefined {
  const system = program.systems.get(procedure.system);
  if (broken.has(procedure.span.file.path)) return "its text has errors";
  if (!system) return "its system is not known";
  if (broken.has(system.span.file.path)) return `the text of its system \`${system.id}\` has errors`;
  const performed = [...walkSteps(procedure.steps)]
    .flatMap((step) => filesOf(step, program))
    .find((path) => broken.has(path));
  return performed && `the text of what it performs has errors (\`${performed}\`)`;
}

/** A step comes from the file it is written in; a performed procedure counts even where none of its steps was understood. */
function filesOf(step: Step, program: Program): string[] {
  const own = step.span.file.path;
  if (step.kind !== "perform" || step.target.kind === "part") return [own];
  const { id } = step.target;
  const performed = [...program.procedures.values()].filter((one) => one.id === id || one.id.startsWith(`${id}.`));
  return [own, ...performed.map(({ span }) => span.file.path)];
}
