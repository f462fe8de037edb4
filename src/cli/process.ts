/** 0: nothing at or above the failing level. 1: findings, unproved among them. 2: could not do the work. */
export const EXIT = { nothing: 0, findings: 1, couldNot: 2 } as const;

/** A reader that goes away (`proofcard check | head -1`) ends the output, not the run, and is no error. */
export function quietWhenNobodyReads(): void {
  for (const stream of [process.stdout, process.stderr]) {
    stream.on("error", (error: NodeJS.ErrnoException) => {
      if (error.code !== "EPIPE") throw error;
    });
  }
}

/** Whether results are coloured: NO_COLOR, then FORCE_COLOR, then whether stdout is a terminal. */
export function wantsColour(environment: NodeJS.ProcessEnv = process.env, terminal = process.stdout.isTTY): boolean {
  if (environment.NO_COLOR) return false;
  const forced = environment.FORCE_COLOR;
  if (forced !== undefined) return forced !== "0" && forced !== "false";
  return Boolean(terminal) && environment.TERM !== "dumb";
}

/** One whole document to stdout, in one write. */
export function results(text: string): void {
  process.stdout.write(text);
}

/** Columns to draw for; piped output has no width of its own. */
export function columns(): number {
  return process.stdout.columns ?? 100;
}
