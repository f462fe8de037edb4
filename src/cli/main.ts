import { CommanderError } from "commander";
import { InvariantError } from "../invariant.js";
import { CannotWork } from "../workspace/host.js";
import { EXIT, quietWhenNobodyReads } from "./process.js";
import { commandLine } from "./program.js";

quietWhenNobodyReads();
await run(process.argv.slice(2));

/** Sets the exit status and never calls `process.exit`, so that what was written to a pipe arrives. */
async function run(args: readonly string[]): Promise<void> {
  try {
    await commandLine().parseAsync(args, { from: "user" });
  } catch (error) {
    process.exitCode = statusOf(error);
  }
}

function statusOf(error: unknown): number {
  if (error instanceof CommanderError) return error.exitCode === 0 ? EXIT.nothing : EXIT.couldNot;
  if (error instanceof CannotWork) {
    console.error(`proofcard: ${error.message}${error.help ? `\n  help: ${error.help}` : ""}`);
  } else {
    const what = error instanceof InvariantError ? error.message : error instanceof Error ? error.stack : String(error);
    console.error(`proofcard: a fault of proofcard itself, not of your files; nothing was proved\n  ${what}`);
  }
  return EXIT.couldNot;
}
