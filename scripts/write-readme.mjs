/**
 * Brings README.md up to date: the table of codes from the catalogue, and under each `$ command` of its console blocks what
 * the built program prints. With `--check` it writes nothing, prints what differs, and fails on any difference. Blocks
 * run in order, in one copy of the examples, so a reader can type along. Times are masked as `N s` before comparing.
 */
import { spawnSync } from "node:child_process";
import { cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync, symlinkSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { delimiter, join } from "node:path";
import { fileURLToPath } from "node:url";
import { CATALOGUE, codeTable } from "../dist/index.js";

const ROOT = fileURLToPath(new URL("..", import.meta.url));
const README = join(ROOT, "README.md");
const BEGIN = "<!-- codes: written by npm run readme -->\n";
const END = "<!-- end of codes -->";

const before = readFileSync(README, "utf8");
const after = withOutputs(withCodes(before));
if (!process.argv.includes("--check")) writeFileSync(README, after);
else if (masked(before) !== masked(after)) {
  console.error(
    `README.md is not up to date; run \`npm run readme\`\n${firstDifference(masked(before), masked(after))}`,
  );
  process.exitCode = 1;
}

function withCodes(text) {
  const [begin, end] = [text.indexOf(BEGIN), text.indexOf(END)];
  if (begin < 0 || end < begin) throw new Error("README.md has no marks for the table of codes");
  return text.slice(0, begin + BEGIN.length) + codeTable(CATALOGUE) + text.slice(end);
}

function withOutputs(text) {
  const folder = mkdtempSync(join(tmpdir(), "proofcard-readme-"));
  try {
    cpSync(join(ROOT, "examples"), join(folder, "examples"), { recursive: true });
    mkdirSync(join(folder, ".bin"));
    symlinkSync(join(ROOT, "bin", "proofcard.js"), join(folder, ".bin", "proofcard"));
    return text.replace(/^```console\n([\s\S]*?)^```$/gm, (_, block) => `\`\`\`console\n${rerun(block, folder)}\`\`\``);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** The block with the output of each of its commands anew. */
function rerun(block, folder) {
  const commands = block.split("\n").filter((line) => line.startsWith("$ "));
  return commands.map((line) => `${line}\n${outputOf(line.slice(2), folder)}`).join("");
}

function outputOf(command, folder) {
  const { NO_COLOR: _, FORCE_COLOR: __, ...rest } = process.env;
  const env = { ...rest, PATH: `${join(folder, ".bin")}${delimiter}${process.env.PATH}` };
  const { stdout } = spawnSync("sh", ["-c", `( ${command} ) 2>&1`], { cwd: folder, env, encoding: "utf8" });
  if (stdout.includes("a fault of proofcard itself")) throw new Error(`${command}\n${stdout}`);
  return stdout === "" || stdout.endsWith("\n") ? stdout : `${stdout}\n`;
}

function masked(text) {
  return text.replace(/\b\d+(\.\d+)? s\.$/gm, "N s.");
}

function firstDifference(a, b) {
  const [left, right] = [a.split("\n"), b.split("\n")];
  const index = left.findIndex((line, at) => line !== right[at]);
  return `line ${index + 1}\n- ${left[index]}\n+ ${right[index]}`;
}
