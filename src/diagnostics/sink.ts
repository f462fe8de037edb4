import type { Finding } from "./finding.js";

/**
 * Findings in their one order (file, offset, code, message, subject, the rest), each once. Findings that differ only in the tails
 * they happen on become one.
 */
export function settle(findings: readonly Finding[]): Finding[] {
  const byIdentity = new Map<string, Finding>();
  for (const finding of findings) {
    const identity = JSON.stringify([
      finding.at.file.path,
      finding.at.start,
      finding.at.end,
      finding.code,
      finding.message,
      subjectKey(finding),
    ]);
    const earlier = byIdentity.get(identity);
    byIdentity.set(identity, earlier ? merged(earlier, finding) : finding);
  }
  return [...byIdentity.values()].sort(compareFindings);
}

/** A total order: two different findings never compare equal. */
export function compareFindings(a: Finding, b: Finding): number {
  return (
    compareText(a.at.file.path, b.at.file.path) ||
    a.at.start - b.at.start ||
    a.at.end - b.at.end ||
    compareText(a.code, b.code) ||
    compareText(a.message, b.message) ||
    compareText(subjectKey(a), subjectKey(b))
  );
}

/** By code unit, so that no machine's language changes the order. */
export function compareText(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}

function subjectKey({ subject }: Finding): string {
  return JSON.stringify([subject.procedure, subject.step, subject.rule, subject.thing]);
}

function merged(first: Finding, second: Finding): Finding {
  if (first.tails && second.tails) return { ...first, tails: [...new Set([...first.tails, ...second.tails])] };
  const { tails: _, ...everywhere } = first;
  return everywhere;
}
