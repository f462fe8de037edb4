import { unreachable } from "../../invariant.js";
import type { Checked } from "../../pipeline.js";
import { type CoverageReport, unprovedRows } from "../../report/coverage/coverage-report.js";
import { VERSION } from "../../version.js";
import { CannotWork } from "../../workspace/host.js";
import { coverageOf } from "../coverage-of.js";
import { columns, EXIT, results, wantsColour } from "../process.js";
import { checkPaths, startTimer } from "./run.js";

export interface CoverageOptions {
  readonly format: "text" | "json" | "html";
  /** In seconds, for all that is proved. */
  readonly timeLimit?: number;
  readonly all?: boolean;
}

/**
 * Prints what the observations and checks of a project's cards catch. The exit status says if a procedure was left out for its errors, or
 * something is unproved. Throws `CannotWork`.
 */
export async function coverage(paths: readonly string[], options: CoverageOptions): Promise<void> {
  const { checked, milliseconds } = checkPaths(paths, options);
  const left = options.timeLimit === undefined ? undefined : Math.max(0, options.timeLimit - milliseconds / 1000);
  const timer = startTimer(left);
  const report = coverageOf(checked, { deadline: timer.deadline });
  timer.end();
  if (report.procedures.length + report.leftOut.length === 0) throw nothingThere(checked);
  results(await rendered(report, options));
  const unproved = report.procedures.some((one) => unprovedRows(one) > 0);
  process.exitCode = unproved || report.leftOut.length > 0 ? EXIT.findings : EXIT.nothing;
}

function nothingThere({ report }: Checked): CannotWork {
  return new CannotWork(
    "there is no procedure to look at",
    `\`proofcard check\` says what is wrong with ${report.project || "these files"}`,
  );
}

async function rendered(report: CoverageReport, options: CoverageOptions): Promise<string> {
  switch (options.format) {
    case "text": {
      const { renderCoverageText } = await import("../../report/coverage/text.js");
      return renderCoverageText(report, { colour: wantsColour(), columns: columns(), all: options.all ?? false });
    }
    case "json":
      return (await import("../../report/coverage/json.js")).renderCoverageJson(report, VERSION);
    case "html":
      return (await import("../../emit/coverage/page.js")).coveragePage(report);
    default:
      return unreachable(options.format);
  }
}
