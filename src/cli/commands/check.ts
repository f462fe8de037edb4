import { CATALOGUE } from "../../catalogue.js";
import type { Severity } from "../../diagnostics/finding.js";
import { unreachable } from "../../invariant.js";
import type { Report, ReportContext } from "../../report/report.js";
import { VERSION } from "../../version.js";
import { fails } from "../fails.js";
import { columns, EXIT, results, wantsColour } from "../process.js";
import { checkPaths } from "./run.js";

export interface CheckOptions {
  readonly format: "text" | "json" | "sarif";
  readonly failOn: Severity;
  readonly timeLimit?: number;
  readonly quiet?: boolean;
}

/** Prints the findings of a project to stdout; the exit status says if any reached `failOn`, or is unproved. */
export async function check(paths: readonly string[], options: CheckOptions): Promise<void> {
  const { checked, milliseconds } = checkPaths(paths, options);
  const context = { version: VERSION, kinds: CATALOGUE, milliseconds };
  results(await rendered(checked.report, context, options));
  process.exitCode = fails(checked.report, options.failOn) ? EXIT.findings : EXIT.nothing;
}

async function rendered(report: Report, context: ReportContext, options: CheckOptions): Promise<string> {
  switch (options.format) {
    case "text": {
      const { renderText } = await import("../../report/text.js");
      return renderText(report, context, { colour: wantsColour(), columns: columns(), summary: !options.quiet });
    }
    case "json":
      return (await import("../../report/json.js")).renderJson(report, context);
    case "sarif":
      return (await import("../../report/sarif.js")).renderSarif(report, context);
    default:
      return unreachable(options.format);
  }
}
