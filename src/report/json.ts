import type { Edit, Finding, Label, Severity, StoryLine } from "../diagnostics/finding.js";
import type { Span } from "../source/file.js";
import { linesOf } from "../source/lines.js";
import { identities } from "./identity.js";
import { type AllowedFinding, CAUTION, type Report, type ReportContext } from "./report.js";

/**
 * The report as JSON, described by schema/report.schema.json. `format` counts up when a reader of the one before would
 * break. Nothing in it depends on the machine or the time.
 */
export function renderJson(report: Report, { version }: Pick<ReportContext, "version">): string {
  const at = (span: Span): object => region(span, report.base);
  const names = identities(report.findings);
  const document = {
    format: 1,
    tool: { name: "proofcard", version },
    caution: CAUTION,
    project: report.project,
    counts: { ...countBySeverity(report.findings), allowed: report.allowed.length },
    findings: report.findings.map((finding, index) => ({ id: names[index], ...plainFinding(finding, at) })),
    allowed: allowed(report.allowed, at),
    proofs: report.proofs,
    leftOut: report.leftOut,
  };
  return `${JSON.stringify(document, null, 2)}\n`;
}

function countBySeverity(findings: readonly Finding[]): Record<Severity, number> {
  const count = (severity: Severity): number => findings.filter((finding) => finding.severity === severity).length;
  return { error: count("error"), warning: count("warning"), info: count("info") };
}

function allowed(list: readonly AllowedFinding[], at: (span: Span) => object): object[] {
  const names = identities(list.map(({ finding }) => finding));
  return list.map(({ finding, because }, index) => ({ id: names[index], because, ...plainFinding(finding, at) }));
}

function plainFinding(finding: Finding, at: (span: Span) => object): object {
  const { code, severity, message, remark, help, subject, tails, labels, edits, story } = finding;
  return {
    code,
    severity,
    message,
    at: at(finding.at),
    remark,
    labels: labels.map((label: Label) => ({ at: at(label.at), text: label.text })),
    help,
    edits: edits?.map((edit: Edit) => ({ at: at(edit.at), text: edit.text })),
    story: story?.map(({ brief, ...line }: StoryLine) => ({ ...line, at: line.at && at(line.at) })),
    subject,
    tails,
  };
}

/** Lines and columns from 1, columns in UTF-16 units; the end is the place after the last character. */
function region({ file, start, end }: Span, base: string): object {
  const lines = linesOf(file);
  return { file: base + file.path, start: lines.place(start), end: lines.place(end) };
}
