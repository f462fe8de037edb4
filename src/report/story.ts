import type { StoryLine } from "../diagnostics/finding.js";
import type { Paint } from "./paint.js";
import { harmless, padded, widthOf } from "./width.js";

/** The story of a finding as lines: when, what the crew does, what the equipment does in answer. */
export function story(lines: readonly StoryLine[], paint: Paint): string[] {
  const shown = lines.map((line) => ({ ...line, when: harmless(line.when), what: harmless(line.what) }));
  const when = Math.max(...shown.map((line) => widthOf(line.when))) + 3;
  const what = Math.max(0, ...shown.map((line) => (line.effect ? Math.min(WIDEST, widthOf(line.what)) : 0))) + 4;
  return ["  how it happens", ...shown.map((line) => `    ${tell(line, when, what, paint)}`.trimEnd())];
}

const WIDEST = 44;

function tell(line: StoryLine, when: number, what: number, paint: Paint): string {
  const effect = line.effect ? harmless(line.effect) : "";
  const told = effect ? `${padded(line.what, what - 2)}  ${effect}` : line.what;
  return `${paint.strong(padded(line.when, when))}${told}${line.broken ? `    ${paint.severity("error", "<- broken here")}` : ""}`;
}
