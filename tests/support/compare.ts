import type { Finding } from "../../src/diagnostics/finding.js";
import type { OracleReport } from "../oracle/interpreter.js";

/** A finding in few words, alike for the prover and the interpreter: `code subject @step`. */
export interface Brief {
  readonly text: string;
  readonly code: string;
  readonly also: readonly string[];
  readonly tails: readonly string[];
  readonly severity: string;
}

/** The subject is told where a finding is about one thing; elsewhere its code and step say it all. */
const WITH_SUBJECT = /^(order|observe\/(missing|surplus|count)|guard|lanes|prohibit\/broken|cover|duty)/;

export function fromOracle(report: OracleReport): Brief[] {
  const found = report.findings.map(
    (finding): Brief => ({
      code: finding.code,
      text: spell(finding.code, finding.rule ?? finding.thing, finding.step.startsWith("(") ? undefined : finding.step),
      also: finding.also,
      tails: finding.tails,
      severity: finding.severity,
    }),
  );
  return sorted(found);
}

export function fromProver(findings: readonly Finding[]): Brief[] {
  const found = findings.map(
    (finding): Brief => ({
      code: finding.code,
      text: spell(finding.code, finding.subject.rule ?? finding.subject.thing, finding.subject.step),
      also: [],
      tails: finding.tails ?? [],
      severity: finding.severity,
    }),
  );
  return sorted(found);
}

/** No effect, idle, and already so at the start: told, and no fault of the card. */
export function isHint(brief: Brief): boolean {
  return [
    "order/already-so",
    "order/idle",
    "flow/never-taken",
    "flow/never-reached",
    "flow/no-effect",
    "prohibit/already-so",
  ].includes(brief.code);
}

function spell(code: string, subject: string | undefined, step: string | undefined): string {
  return [code, ...(WITH_SUBJECT.test(code) && subject ? [subject] : []), `@${step ?? "-"}`].join(" ");
}

function sorted(found: readonly Brief[]): Brief[] {
  return [...found].sort((a, b) => (a.text < b.text ? -1 : a.text > b.text ? 1 : 0));
}
