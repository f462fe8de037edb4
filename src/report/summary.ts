import type { Proof, Verdict } from "../program/verdict.js";
import { CAUTION, type Report, type ReportContext } from "./report.js";

/** How the run ended: findings counted, what was proved and over how much, what was left out, and the caution. */
export function summary(report: Report, context: ReportContext): string[] {
  return [
    counted(report),
    report.proofs.length > 0 ? proved(report.proofs, context.milliseconds) : "Nothing was proved.",
    ...report.leftOut.map(({ procedure, because }) => `Not proved: \`${procedure}\`, ${because}.`),
    CAUTION,
  ];
}

function counted({ findings, allowed }: Report): string {
  const parts = (["error", "warning", "info"] as const).flatMap((severity) => {
    const number = findings.filter((finding) => finding.severity === severity).length;
    return number === 0 ? [] : [severity === "info" ? `${number} for information` : plural(number, severity)];
  });
  const accepted = allowed.length > 0 ? [`${allowed.length} allowed with a reason`] : [];
  return parts.length + accepted.length === 0 ? "No findings." : `${[...parts, ...accepted].join(", ")}.`;
}

/** "2 procedures on 2 tails against 9 rules: 18 hold; any of 10^11 starts each; 0.4 s." */
function proved(proofs: readonly Proof[], milliseconds: number | undefined): string {
  const tails = new Set(proofs.flatMap((proof) => proof.tails));
  const rows = proofs.flatMap((proof) => proof.rules);
  const rules = new Set(rows.map((row) => row.rule));
  const over = `${plural(proofs.length, "procedure")} on ${plural(tails.size, "tail")} against ${plural(rules.size, "rule")}`;
  const most = Math.max(...proofs.map((proof) => proof.startsLog10));
  const starts = most > 0 ? `; from up to ${powerOfTen(most)} starts` : "";
  const time = milliseconds === undefined ? "" : `; ${inSeconds(milliseconds)}`;
  return `Over the model as written, ${over}: ${verdicts(rows)}${starts}${time}.`;
}

function verdicts(rows: Proof["rules"]): string {
  const count = (verdict: Verdict): number => rows.filter((row) => row.verdict === verdict).length;
  const [holds, broken, unproved] = [count("holds"), count("violated"), count("unproved")];
  return [
    `${holds} of ${rows.length} proved`,
    ...(broken ? [`${broken} broken`] : []),
    ...(unproved ? [`${unproved} unproved`] : []),
  ].join(", ");
}

/** Small numbers in full. */
function powerOfTen(log10: number): string {
  return log10 < 4 ? String(Math.round(10 ** log10)) : `10^${log10.toFixed(log10 < 100 ? 1 : 0).replace(/\.0$/, "")}`;
}

function inSeconds(milliseconds: number): string {
  return `${(milliseconds / 1000).toFixed(milliseconds < 9950 ? 1 : 0)} s`;
}

export function plural(number: number, noun: string): string {
  return `${number} ${noun}${number === 1 ? "" : "s"}`;
}
