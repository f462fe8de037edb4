/** The public API: check texts in memory, and render what comes of it. */
export { CATALOGUE } from "./catalogue.js";
export type { Edit, Finding, FindingKind, Label, Severity, StoryLine, Subject } from "./diagnostics/finding.js";
export { type Checked, type CheckOptions, check } from "./pipeline.js";
export type { Program } from "./program/program.js";
export type { Proof, Verdict } from "./program/verdict.js";
export { codeTable } from "./report/code-table.js";
export { renderJson } from "./report/json.js";
export type { Report, ReportContext } from "./report/report.js";
export { renderSarif } from "./report/sarif.js";
export { renderText, type TextOptions } from "./report/text.js";
export type { SourceFile, Span } from "./source/file.js";
