import { join } from "node:path";
import { CATALOGUE } from "../../catalogue.js";
import { plural } from "../../report/summary.js";
import { renderText } from "../../report/text.js";
import { VERSION } from "../../version.js";
import { CannotWork } from "../../workspace/host.js";
import { columns, EXIT, results, wantsColour } from "../process.js";
import { writeFiles } from "../write-files.js";
import { checkPaths, type Run } from "./run.js";

export interface BuildOptions {
  readonly out: string;
  readonly draft?: boolean;
  readonly timeLimit?: number;
}

/**
 * Checks a project and writes its cards to a folder; the names of the files go to stdout, what was found to stderr. A
 * finding of level error stops it, unless a draft is asked for. Throws `CannotWork`.
 */
export async function build(paths: readonly string[], options: BuildOptions): Promise<void> {
  const run = checkPaths(paths, options);
  const failed = run.checked.report.findings.some(({ severity }) => severity === "error");
  tell(run);
  process.exitCode = failed ? EXIT.findings : EXIT.nothing;
  if (failed && !options.draft) {
    console.error("Nothing was written: an error stands. `--draft` prints all the same, with DRAFT across every page.");
    return;
  }
  if (run.checked.proofs.length === 0)
    throw new CannotWork("there is no card to print", "the project has no procedure that can be understood");
  const { cardFiles } = await import("../cards.js");
  const files = await cardFiles(run.checked, { draft: options.draft ?? false, index: !run.workspace.focus });
  writeFiles(options.out, files);
  results(files.map(({ name }) => `${join(options.out, name).replaceAll("\\", "/")}\n`).join(""));
  console.error(`${plural(files.length, "file")} written.`);
}

function tell({ checked, milliseconds }: Run): void {
  const context = { version: VERSION, kinds: CATALOGUE, milliseconds };
  const options = { colour: wantsColour(process.env, process.stderr.isTTY), columns: columns(), summary: true };
  console.error(renderText(checked.report, context, options));
}
