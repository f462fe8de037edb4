import type { Estimate, SlipRow } from "../../program/coverage.js";
import type { Procedure } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";

/**
 * The chance that a reader leaves a line out, by the length of the list: from memory of NUREG/CR-1278, table 20-7 (procedures
 * with check-off), and secondary texts disagree. A project gives its own as `omission`.
 */
export const FROM_MEMORY = { short: 0.001, long: 0.003 };

/** A list is long from this many lines on. */
const LONG = 11;

/** The chance that one use has a silent omission, if each line is left out by itself: 1 minus that none is. */
export function estimateOf({ project }: Program, _procedure: Procedure, rows: readonly SlipRow[]): Estimate {
  const omissions = rows.filter(({ slip }) => slip.kind === "left out");
  const silent = omissions.filter(({ verdict }) => verdict === "silent").length;
  const lines = omissions.length;
  const figures = project.omission ?? FROM_MEMORY;
  const perLine = lines < LONG ? figures.short : figures.long;
  const chance = 1 - (1 - perLine) ** silent;
  return { perLine, from: project.omission ? "project" : "default", lines, silent, chance };
}
