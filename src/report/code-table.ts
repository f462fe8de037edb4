import type { FindingKind } from "../diagnostics/finding.js";

/** The table of codes for the README, as Markdown: a row for each kind, in the order given. */
export function codeTable(kinds: readonly FindingKind[]): string {
  const rows = kinds.map(({ code, severity, summary }) => `| \`${code}\` | ${severity} | ${escaped(summary)} |`);
  return `${["| code | level | what it says |", "| --- | --- | --- |", ...rows].join("\n")}\n`;
}

function escaped(text: string): string {
  return text.replaceAll("|", "\\|");
}
