import { join } from "node:path";
import { CATALOGUE } from "../../catalogue.js";
import type { Finding } from "../../diagnostics/finding.js";
import type { Diagram } from "../../emit/diagrams.js";
import { readProgram } from "../../pipeline.js";
import type { Procedure } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";
import { plural } from "../../report/summary.js";
import { renderText } from "../../report/text.js";
import { VERSION } from "../../version.js";
import { CannotWork } from "../../workspace/host.js";
import { nodeHost } from "../../workspace/node-host.js";
import { openWorkspace } from "../../workspace/project.js";
import type { Cards } from "../cards.js";
import { fails } from "../fails.js";
import { columns, EXIT, results, wantsColour } from "../process.js";
import { writeFiles } from "../write-files.js";
import { checkPaths, type Run, startTimer } from "./run.js";

export interface BuildOptions {
  readonly out: string;
  readonly draft?: boolean;
  /** In place of the project's. */
  readonly paper?: string;
  /** Folder of an earlier state of the project: what differs from it gets a bar. */
  readonly since?: string;
  /** In seconds, for all that is proved. */
  readonly timeLimit?: number;
  readonly diagrams: readonly Diagram[];
  /** Marks the lines whose omission nothing on the card would show. */
  readonly killers?: boolean;
}

/**
 * Checks a project and writes its cards to a folder; the names of the files go to stdout, what was found to stderr. A
 * finding of level error stops it, unless a draft is asked for. Throws `CannotWork`.
 */
export async function build(paths: readonly string[], options: BuildOptions): Promise<void> {
  const { cardFiles, setCards } = await import("../cards.js");
  const { reliancesOf } = await import("../reliances.js");
  const { killerItems } = await import("../../prove/coverage/cover.js");
  const { loadFaces, loadWebFaces } = await import("../../workspace/fonts.js");
  const timer = startTimer(options.timeLimit);
  const settings = {
    faces: loadFaces(),
    webFaces: loadWebFaces(),
    draft: options.draft ?? false,
    diagrams: options.diagrams,
    reliancesOf: (program: Program, procedure: Procedure) =>
      reliancesOf(program, procedure, { deadline: timer.deadline }),
    ...(options.killers && {
      killersOf: (program: Program, procedure: Procedure) =>
        killerItems(program, procedure, { deadline: timer.deadline }),
    }),
    ...(options.paper && { paper: options.paper }),
    ...(options.since && { since: readProgram(openWorkspace(nodeHost, process.cwd(), [options.since]).files) }),
  };
  let cards: Cards | undefined;
  const measured = (program: Program, procedures: readonly Procedure[]): readonly Finding[] => {
    cards = setCards(program, procedures, settings);
    return cards.findings;
  };
  const run = checkPaths(paths, { ...options, cards: measured });
  tell(run);
  const failed = fails(run.checked.report, "error");
  process.exitCode = failed ? EXIT.findings : EXIT.nothing;
  if (failed && !options.draft) return sayNothingWritten();
  if (!cards || cards.printed.length === 0) {
    throw new CannotWork("there is no card to print", "the project has no procedure that can be understood");
  }
  const files = await cardFiles(cards, { whole: !run.workspace.focus });
  timer.end();
  writeFiles(options.out, files);
  results(files.map(({ name }) => `${join(options.out, name).replaceAll("\\", "/")}\n`).join(""));
  console.error(`${plural(files.length, "file")} written.`);
}

function sayNothingWritten(): void {
  console.error(
    "Nothing was written: an error stands, or something is unproved. `--draft` prints all the same, with DRAFT across every page.",
  );
}

function tell({ checked, milliseconds }: Run): void {
  const context = { version: VERSION, kinds: CATALOGUE, milliseconds };
  const options = { colour: wantsColour(process.env, process.stderr.isTTY), columns: columns(), summary: true };
  console.error(renderText(checked.report, context, options));
}
