import type { StoryLine } from "../diagnostics/finding.js";
import { wrapped } from "./frame.js";
import type { Paint } from "./paint.js";
import { harmless, padded, widthOf } from "./width.js";

/** The story of a finding as lines: when, what the crew does, what the equipment does in answer. `columns` is the width to draw for. */
export function story(lines: readonly StoryLine[], paint: Paint, columns: number): string[] {
  const shown = lines.map((line) => ({ ...line, when: harmless(line.when), what: harmless(line.brief ?? line.what) }));
  const when = Math.max(...shown.map((line) => widthOf(line.when))) + 3;
  const what = Math.max(0, ...shown.map((line) => (line.effect ? Math.min(WIDEST, widthOf(line.what)) : 0))) + 4;
  return ["  how it happens", ...shown.flatMap((line) => tell(line, { when, what, columns }, paint))];
}

const INDENT = 4;
/** A longer act pushes its own effect to the right, not those of all other lines. */
const WIDEST = 44;

/** Widths of the first two columns, with the space behind them, and of all. */
interface Widths {
  readonly when: number;
  readonly what: number;
  readonly columns: number;
}

function tell(line: StoryLine, { when, what, columns }: Widths, paint: Paint): string[] {
  const broken = line.broken ? `    ${paint.severity("error", "<- broken here")}` : "";
  const head = `${" ".repeat(INDENT)}${paint.strong(padded(line.when, when))}`;
  if (line.effect) return [`${head}${padded(line.what, what - 2)}  ${harmless(line.effect)}${broken}`];
  const [first = "", ...rest] = wrapped(line.what, Math.max(40, columns - INDENT - when - (line.broken ? 18 : 0)));
  return [`${head}${first}${broken}`, ...rest.map((text) => `${" ".repeat(INDENT + when)}${text}`)];
}
