import type { Finding } from "../diagnostics/finding.js";
import { linesOf, placeOf } from "../source/lines.js";

/**
 * A name for each finding that stays when lines are added above it: the code with what it is about, else the text of
 * its line. The second of equals gets `#2`. Findings must be in their order.
 */
export function identities(findings: readonly Finding[]): string[] {
  const seen = new Map<string, number>();
  return findings.map((finding) => {
    const name = nameOf(finding);
    const count = (seen.get(name) ?? 0) + 1;
    seen.set(name, count);
    return count === 1 ? name : `${name}#${count}`;
  });
}

function nameOf(finding: Finding): string {
  const { procedure, step, rule, thing } = finding.subject;
  const about = [named("procedure", procedure), named("step", step), named("rule", rule), named("thing", thing)].flat();
  return [finding.code, ...(about.length > 0 ? about : [finding.at.file.path, lineText(finding)])].join("|");
}

function named(word: string, value: string | undefined): string[] {
  return value === undefined ? [] : [`${word}=${value}`];
}

function lineText({ at }: Finding): string {
  return linesOf(at.file).text(placeOf(at).line).trim().replace(/\s+/g, " ");
}
