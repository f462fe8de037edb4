import { spawnSync } from "node:child_process";
import { readdirSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { expect, test } from "vitest";
import { PROOFCARD, ROOT } from "../cli/run.js";

test("the help takes at most 1.5 times what node takes to do nothing", () => {
  const { ratio, own, other } = compare([PROOFCARD, "--help"], ["-e", "0"], 15);
  console.info(`--help ${own} ms, node -e 0 ${other} ms: ratio ${ratio.toFixed(2)}, median of 15 pairs`);
  expect(ratio).toBeLessThanOrEqual(1.5);
});

test("reading, linting and proving a repository, beside only reading its YAML", () => {
  const example = join(ROOT, "examples", "merrow-m46");
  const reader = fileURLToPath(new URL("read-yaml.mjs", import.meta.url));
  const { ratio, own, other } = compare([PROOFCARD, "check", example], [reader, ...yamlBelow(example)], 5);
  console.info(`check ${own} ms, bare YAML ${other} ms: ratio ${ratio.toFixed(2)}, median of 5 pairs`);
  expect(ratio).toBeLessThanOrEqual(LIMIT);
});

/** What check may cost beside a bare reader; see the measured figure in DEVELOPERS.md. */
const LIMIT = 10;

/** Fresh processes in turn, one pair a run, after one pair that is not counted; wall time in milliseconds. */
function compare(
  ours: readonly string[],
  theirs: readonly string[],
  runs: number,
): { ratio: number; own: number; other: number } {
  const pairs = Array.from({ length: runs + 1 }, () => [wall(ours), wall(theirs)] as const).slice(1);
  return {
    ratio: median(pairs.map(([a, b]) => a / b)),
    own: Math.round(median(pairs.map(([a]) => a))),
    other: Math.round(median(pairs.map(([, b]) => b))),
  };
}

function wall(args: readonly string[]): number {
  const began = performance.now();
  const { error, status } = spawnSync(process.execPath, args, { stdio: "ignore" });
  if (error || status === 2 || status === null) throw error ?? new Error(`${args[0]} could not do its work`);
  return performance.now() - began;
}

function median(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)]!;
}

function yamlBelow(folder: string): string[] {
  const names = readdirSync(folder, { recursive: true, encoding: "utf8" });
  return names.filter((name) => name.endsWith(".yaml")).map((name) => join(folder, name));
}
