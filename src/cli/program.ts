import { Command, InvalidArgumentError, Option } from "commander";
import { VERSION } from "../version.js";
import type { ReportFile } from "./commands/check.js";

const SEVERITIES = ["error", "warning", "info"];

/** The command line. Each command's own module is loaded when it runs, so that `--help` loads next to nothing. */
export function commandLine(): Command {
  const proofcard = new Command("proofcard")
    .description("Proves the order of operator checklists on every path, and prints the cards.")
    .version(VERSION, "-V, --version", "print the version")
    .helpOption("-h, --help", "print this help")
    .helpCommand("help [command]", "print the help of a command")
    .showHelpAfterError("(`proofcard --help` lists the commands)")
    .addHelpText("after", EXIT_STATUSES)
    .exitOverride();
  addCheck(proofcard);
  addBuild(proofcard);
  addCoverage(proofcard);
  addExplain(proofcard);
  addOrder(proofcard);
  addInit(proofcard);
  return proofcard;
}

const EXIT_STATUSES = `
Exit status: 0 nothing at or above the failing level, 1 findings, 2 could not do the work.
`;

const PATHS = "files or folders of one project; without any, the project of the current folder";

function addCheck(proofcard: Command): void {
  proofcard
    .command("check")
    .description("read, lint and prove; print the findings")
    .argument("[paths...]", PATHS)
    .addOption(new Option("--format <format>", "how to print").choices(FORMATS).default("text"))
    .addOption(reports())
    .addOption(failOn())
    .addOption(timeLimit())
    .option("-q, --quiet", "print findings only, no summary")
    .action(async (paths, options) => (await import("./commands/check.js")).check(paths, options));
}

function addBuild(proofcard: Command): void {
  proofcard
    .command("build")
    .description("check, then write the cards; a finding of level error stops it")
    .argument("[paths...]", PATHS)
    .requiredOption("-o, --out <folder>", "where to write; nothing outside it is touched")
    .option("--draft", "write the cards all the same, with DRAFT across every page")
    .option("--paper <size>", "A4, A5, Letter, half-letter, or a size in mm such as `105 x 148 mm`; else the project's")
    .option("--killers", "mark the lines whose omission nothing on the card would show; proved, which takes its time")
    .addOption(diagrams())
    .option("--since <folder>", "an earlier state of the project; lines that differ from it get a bar in the margin")
    .addOption(timeLimit())
    .action(async (paths, options) => (await import("./commands/build.js")).build(paths, options));
}

function addCoverage(proofcard: Command): void {
  proofcard
    .command("coverage")
    .description(
      "tables of what the cards catch: lights, stuck-at faults, slips of the reader, left-over positions, failures",
    )
    .argument("[paths...]", PATHS)
    .addOption(new Option("--format <format>", "how to print").choices(["text", "json", "html"]).default("text"))
    .option("--all", "list also what is always revealed, caught or harmless")
    .addOption(timeLimit())
    .action(async (paths, options) => (await import("./commands/coverage.js")).coverage(paths, options));
}

function addExplain(proofcard: Command): void {
  proofcard
    .command("explain")
    .description("say what the code of a finding means; why a line is there (PROCEDURE:STEP); which lines keep a rule")
    .argument("[what]", "such as order/when, power-up:apu-start or a rule's id; without it, all codes are listed")
    .argument("[paths...]", PATHS)
    .addOption(timeLimit())
    .action(async (what, paths, options) => (await import("./commands/explain.js")).explain(what, paths, options));
}

function addOrder(proofcard: Command): void {
  proofcard
    .command("order")
    .description("look for an order of a card's lines with fewer and shorter moves between panels; changes no file")
    .argument("<procedure>", "its id")
    .argument("[paths...]", PATHS)
    .addOption(new Option("--format <format>", "how to print").choices(["text", "json"]).default("text"))
    .addOption(timeLimit())
    .action(async (id, paths, options) => (await import("./commands/order.js")).order(id, paths, options));
}

function addInit(proofcard: Command): void {
  proofcard
    .command("init")
    .description("write a small working project to start from")
    .argument("[folder]", "where; nothing that is there is overwritten", ".")
    .action(async (folder) => (await import("./commands/init.js")).init(folder));
}

function failOn(): Option {
  return new Option("--fail-on <level>", "the mildest level that fails").choices(SEVERITIES).default("error");
}

function timeLimit(): Option {
  return new Option("--time-limit <seconds>", "stop proving after this long; the rest is unproved").argParser(seconds);
}

const FORMATS = ["text", "json", "sarif", "junit"];

function reports(): Option {
  return new Option(
    "--report <format:file>",
    `write the report to a file as well, in one of ${FORMATS.join(", ")}; may be given several times`,
  ).argParser(oneMoreReport);
}

function oneMoreReport(text: string, before: readonly ReportFile[] = []): readonly ReportFile[] {
  const [format = "", ...rest] = text.split(":");
  const file = rest.join(":");
  if (!FORMATS.includes(format) || file === "")
    throw new InvalidArgumentError(`It is a format (${FORMATS.join(", ")}), a colon and a file.`);
  return [...before, { format: format as ReportFile["format"], file }];
}

/** Names as `DIAGRAMS` of the pictures has them, which is not loaded for the help; a test compares the two. */
const DIAGRAM_NAMES = ["flowchart", "map", "lights", "graph", "mermaid"];
const USUAL_DIAGRAMS = ["flowchart", "map", "lights"];

function diagrams(): Option {
  return new Option(
    "--diagrams <list>",
    `pictures of each card, after commas: ${DIAGRAM_NAMES.join(", ")}; all or none. \`graph\` (what relies on what) proves each card again without each step, which takes its time`,
  )
    .argParser(diagramList)
    .default(USUAL_DIAGRAMS, USUAL_DIAGRAMS.join(","));
}

/** In the order in which they are written, each once. */
function diagramList(text: string): readonly string[] {
  const asked = text.split(",").map((name) => name.trim().toLowerCase());
  const unknown = asked.find((name) => name !== "all" && name !== "none" && !DIAGRAM_NAMES.includes(name));
  if (unknown !== undefined)
    throw new InvalidArgumentError(`\`${unknown}\` is none of ${DIAGRAM_NAMES.join(", ")}, all or none.`);
  if (asked.length > 1 && (asked.includes("all") || asked.includes("none")))
    throw new InvalidArgumentError("`all` and `none` stand alone.");
  return asked.includes("all") ? DIAGRAM_NAMES : DIAGRAM_NAMES.filter((name) => asked.includes(name));
}

function seconds(text: string): number {
  const value = Number(text);
  if (!(value > 0) || !Number.isFinite(value))
    throw new InvalidArgumentError("It must be a number of seconds above 0.");
  return value;
}
