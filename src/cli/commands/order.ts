import { CATALOGUE } from "../../catalogue.js";
import { suggest } from "../../diagnostics/suggest.js";
import { check, readProgram } from "../../pipeline.js";
import type { Procedure } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";
import { renderOrder, renderOrderJson } from "../../report/order.js";
import { renderText } from "../../report/text.js";
import { VERSION } from "../../version.js";
import { CannotWork } from "../../workspace/host.js";
import { nodeHost } from "../../workspace/node-host.js";
import { openWorkspace, type Workspace } from "../../workspace/project.js";
import { fails } from "../fails.js";
import { columns, EXIT, results, wantsColour } from "../process.js";
import { shorterOrder } from "../shorter-order.js";
import { startTimer, type Timer, wayTo } from "./run.js";

export interface OrderOptions {
  readonly format: "text" | "json";
  /** In seconds. */
  readonly timeLimit?: number;
}

/**
 * Prints a shorter order of the lines of a procedure that breaks nothing, or that there is none; changes no file. A procedure in which
 * something is wrong or unproved as it stands has no order to keep: that is told, with status 1. Throws `CannotWork`.
 */
export function order(id: string, paths: readonly string[], options: OrderOptions): void {
  const timer = startTimer(options.timeLimit);
  const workspace = openWorkspace(nodeHost, process.cwd(), paths);
  const program = readProgram(workspace.files);
  const procedure = procedureOf(program, id);
  if (standsWrong(workspace, procedure, timer)) return;
  const report = shorterOrder(program, procedure, timer);
  timer.end();
  const file = `${wayTo(process.cwd(), workspace.root)}${report.file}`;
  const shown = { ...report, file };
  results(options.format === "json" ? renderOrderJson(shown, VERSION) : renderOrder(shown, { colour: wantsColour() }));
  process.exitCode = report.finished ? EXIT.nothing : EXIT.findings;
}

function procedureOf(program: Program, id: string): Procedure {
  const found = program.procedures.get(id);
  if (found) return found;
  const near = suggest(id, program.procedures.keys());
  const all = [...program.procedures.keys()].map((one) => `\`${one}\``).join(", ");
  throw new CannotWork(
    `the project has no procedure \`${id}\``,
    near ? `did you mean \`${near}\`?` : all ? `it has ${all}` : undefined,
  );
}

/** Tells on stderr what is wrong in the procedure as it stands. */
function standsWrong(workspace: Workspace, procedure: Procedure, timer: Timer): boolean {
  const { report } = check(workspace.files, {
    findings: workspace.findings,
    focus: new Set([procedure.span.file.path]),
    base: wayTo(process.cwd(), workspace.root),
    deadline: timer.deadline,
  });
  const [left] = report.leftOut;
  if (left) {
    throw new CannotWork(`\`${left.procedure}\` cannot be proved: ${left.because}`, "`proofcard check` says more");
  }
  const wrong = {
    ...report,
    findings: report.findings.filter((one) => fails({ ...report, findings: [one] }, "error")),
  };
  if (wrong.findings.length === 0) return false;
  timer.end();
  const shown = { colour: wantsColour(process.env, process.stderr.isTTY), columns: columns(), summary: false };
  console.error(renderText(wrong, { version: VERSION, kinds: CATALOGUE }, shown));
  console.error("No order was looked for: what is wrong, or unproved, as the card stands comes first.");
  process.exitCode = EXIT.findings;
  return true;
}
