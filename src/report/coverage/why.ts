import type { Finding } from "../../diagnostics/finding.js";
import { wrapped } from "../frame.js";
import { type Paint, paint } from "../paint.js";
import { CAUTION } from "../report.js";
import { story } from "../story.js";
import { harmless } from "../width.js";

/** What relies on a step, in words, with what is found without it. */
export interface WhyRow {
  readonly on: string;
  readonly finding: Finding;
}

export interface WhyPage {
  /** The procedure and the step, or the rule. */
  readonly title: string;
  /** One line for each step or rule that is asked about. */
  readonly lead: string;
  readonly rows: readonly WhyRow[];
  /** What is said where there are none. */
  readonly none: string;
  /** A limit came first: there may be more. */
  readonly unproved: boolean;
  /** What was wrong already, and so cannot be said to rely on anything. */
  readonly before: number;
}

/** Why a line is there, for a terminal. */
export function renderWhy(page: WhyPage, options: { readonly colour: boolean; readonly columns: number }): string {
  const ink = paint(options.colour);
  const columns = Math.min(100, options.columns);
  const lines = [
    ink.strong(harmless(page.title)),
    ...wrapped(harmless(page.lead), columns),
    ...(page.rows.length === 0 ? ["", harmless(page.none)] : page.rows.flatMap((row) => rowLines(row, ink, columns))),
    "",
    ...(page.unproved ? ["Unproved: the limit came first, and more may rely on it."] : []),
    ...(page.before > 0
      ? [
          `${page.before === 1 ? "An error stands" : `${page.before} errors stand`} already: what is wrong with the line too is not told.`,
        ]
      : []),
    CAUTION,
  ];
  return `${lines.join("\n")}\n`;
}

function rowLines({ on, finding }: WhyRow, ink: Paint, columns: number): string[] {
  const [first = ""] = finding.message.split("\n");
  return [
    "",
    ink.strong(harmless(on)),
    ...wrapped(harmless(`${first} (${finding.code})`), columns - 2).map((line) => `  ${line}`),
    ...(finding.story ? story(finding.story, ink, columns) : []),
  ];
}
