import type { Finding } from "../diagnostics/finding.js";
import { type FrameOptions, frames } from "./frame.js";
import { type Paint, paint } from "./paint.js";
import type { Report, ReportContext } from "./report.js";
import { story } from "./story.js";
import { summary } from "./summary.js";
import { harmless } from "./width.js";

export interface TextOptions {
  readonly colour: boolean;
  /** Width to draw for. */
  readonly columns: number;
  readonly summary: boolean;
}

/** The report for a terminal: each finding with its source and its story, then the summary. */
export function renderText(report: Report, context: ReportContext, options: TextOptions): string {
  const ink = paint(options.colour);
  const blocks = report.findings.map((finding) =>
    renderFinding(finding, ink, { columns: options.columns, base: report.base }),
  );
  if (options.summary) blocks.push(summary(report, context));
  return blocks.map((lines) => `${lines.join("\n")}\n`).join("\n");
}

/** One finding without colour, for a report that carries it as text. `base` stands before every path. */
export function findingText(finding: Finding, base: string): string {
  return renderFinding(finding, paint(false), { columns: 100, base }).join("\n");
}

function renderFinding(finding: Finding, ink: Paint, options: FrameOptions): string[] {
  const mark = ink.severity(finding.severity, `${finding.severity}[${finding.code}]`);
  const [first = "", ...rest] = harmless(finding.message).split("\n");
  return [
    `${mark}${ink.strong(`: ${first}`)}${onTails(finding)}`,
    ...rest.map((line) => `  ${line}`),
    ...frames(finding, ink, options),
    ...(finding.story ? story(finding.story, ink, options.columns) : []),
    ...finding.help.map((help) => `  ${ink.strong("help:")} ${harmless(help)}`),
    ink.dim(`  more: proofcard explain ${finding.code}`),
  ];
}

function onTails({ tails }: Finding): string {
  return tails && tails.length > 0 ? ` (on ${tails.map(harmless).join(", ")})` : "";
}
