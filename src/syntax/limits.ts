import type { Finding } from "../diagnostics/finding.js";
import { settle } from "../diagnostics/sink.js";

/** Findings told of one file. Where there are more, most follow from the first. */
export const MOST_FINDINGS = 100;

/** The first of what a check has to say, so that a file of nothing but mistakes is refused as fast as any other. */
export function firstOf<T>(found: Iterable<T>): T[] {
  const few: T[] = [];
  for (const one of found) {
    if (few.length > MOST_FINDINGS) break;
    few.push(one);
  }
  return few;
}

/** Findings in order; beyond the most that are told, the last says that there are others. */
export function settleFew(findings: readonly Finding[]): readonly Finding[] {
  const settled = settle(findings);
  if (settled.length <= MOST_FINDINGS) return settled;
  const told = settled.slice(0, MOST_FINDINGS);
  const last = told.pop()!;
  return [...told, { ...last, help: [...last.help, "there is more in this file that is not shown: mend these first"] }];
}
