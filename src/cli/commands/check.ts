import { basename, dirname, relative, resolve } from "node:path";
import { CATALOGUE } from "../../catalogue.js";
import type { Severity } from "../../diagnostics/finding.js";
import { unreachable } from "../../invariant.js";
import { UNPROVED } from "../../prove/kinds.js";
import type { Report, ReportContext } from "../../report/report.js";
import { VERSION } from "../../version.js";
import { CannotWork } from "../../workspace/host.js";
import { fails } from "../fails.js";
import { columns, EXIT, results, wantsColour } from "../process.js";
import { writeFiles } from "../write-files.js";
import { checkPaths, type Run } from "./run.js";

export interface CheckOptions {
  readonly format: Format;
  readonly report?: readonly ReportFile[];
  readonly failOn: Severity;
  readonly timeLimit?: number;
  readonly quiet?: boolean;
}

export type Format = "text" | "json" | "sarif" | "junit";

/** A report to write beside what is printed; `file` is relative to the current folder. */
export interface ReportFile {
  readonly format: Format;
  readonly file: string;
}

/** Of text only: the others are the same everywhere. */
interface Look {
  readonly colour: boolean;
  readonly columns: number;
  readonly summary: boolean;
}

/** Prints the findings of a project to stdout, and writes the reports that are asked for; the exit status says if any reached `failOn`, or is unproved. */
export async function check(paths: readonly string[], options: CheckOptions): Promise<void> {
  const { report: files = [], format, failOn } = options;
  refuseTwice(files);
  const run = checkPaths(paths, options);
  refuseSources(files, run);
  const { report } = run.checked;
  const context = { version: VERSION, kinds: CATALOGUE };
  for (const { format: asked, file } of files) {
    const text = await rendered(report, context, asked, failOn, { colour: false, columns: 100, summary: true });
    writeFiles(dirname(file), [{ name: basename(file), content: text }]);
  }
  const look = { colour: wantsColour(), columns: columns(), summary: !options.quiet };
  results(await rendered(report, { ...context, milliseconds: run.milliseconds }, format, failOn, look));
  process.exitCode = fails(report, failOn) ? EXIT.findings : EXIT.nothing;
}

async function rendered(
  report: Report,
  context: ReportContext,
  format: Format,
  failOn: Severity,
  look: Look,
): Promise<string> {
  switch (format) {
    case "text":
      return (await import("../../report/text.js")).renderText(report, context, look);
    case "json":
      return (await import("../../report/json.js")).renderJson(report, context);
    case "sarif":
      return (await import("../../report/sarif.js")).renderSarif(report, context);
    case "junit":
      return (await import("../../report/junit.js")).renderJunit(report, { failOn, unproved: UNPROVED.code });
    default:
      return unreachable(format);
  }
}

function refuseTwice(files: readonly ReportFile[]): void {
  const places = files.map(({ file }) => resolve(file));
  const twice = files.find((_, index) => places.indexOf(places[index]!) !== index);
  if (twice) throw new CannotWork(`\`${twice.file}\` is given to two reports`, "give each report a file of its own");
}

/** What the project is read from is never written over. */
function refuseSources(files: readonly ReportFile[], { workspace }: Run): void {
  for (const { file } of files) {
    const path = relative(workspace.root, resolve(file)).replaceAll("\\", "/");
    if (workspace.files.some((source) => source.path === path))
      throw new CannotWork(`\`${file}\` is a source of the project`, "write the report to another file");
  }
}
