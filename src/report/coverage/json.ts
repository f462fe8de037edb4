import type { Broken, ProcedureCoverage, Telling } from "../../program/coverage.js";
import { countFaults, countSlips } from "../../program/coverage-count.js";
import type { Span } from "../../source/file.js";
import { linesOf } from "../../source/lines.js";
import { CAUTION } from "../report.js";
import { type CoverageReport, unprovedRows } from "./coverage-report.js";

/** The coverage as JSON, described by schema/coverage.schema.json. The same input gives the same bytes. */
export function renderCoverageJson(report: CoverageReport, version: string): string {
  const document = {
    format: 1,
    tool: { name: "proofcard", version },
    caution: CAUTION,
    project: report.program.project.title,
    procedures: report.procedures.map((one) => procedure(one, report.base)),
    leftOut: report.leftOut,
    unproved: report.procedures.reduce((sum, one) => sum + unprovedRows(one), 0),
  };
  return `${JSON.stringify(document, null, 2)}\n`;
}

function procedure(coverage: ProcedureCoverage, base: string): object {
  const { faults, slips, failures } = coverage;
  return {
    ...coverage,
    faults: { counts: countFaults(faults), ...faults },
    ...(slips && {
      slips: {
        counts: countSlips(slips),
        estimate: slips.estimate,
        rows: slips.rows.map((row) => ({ ...row, ...(row.breaks && { breaks: breaks(row.breaks, base) }) })),
      },
    }),
    ...(failures && {
      failures: failures.map((row) => ({ ...row, ...(row.breaks && { breaks: breaks(row.breaks, base) }) })),
    }),
  };
}

function breaks(broken: Broken, base: string): object {
  return { ...broken, story: broken.story.map((line: Telling) => ({ ...line, at: line.at && region(line.at, base) })) };
}

function region({ file, start, end }: Span, base: string): object {
  const lines = linesOf(file);
  return { file: base + file.path, start: lines.place(start), end: lines.place(end) };
}
