import { spawnSync } from "node:child_process";
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { onTestFinished } from "vitest";

export const ROOT = fileURLToPath(new URL("../../", import.meta.url));
export const PROOFCARD = join(ROOT, "bin", "proofcard.js");

export interface Ran {
  readonly status: number | null;
  readonly out: string;
  readonly err: string;
}

/** Runs `proofcard` as a person would, in a folder, with the environment cleared of what steers colour. */
export function proofcard(
  folder: string,
  args: readonly string[],
  environment: Readonly<Record<string, string>> = {},
): Ran {
  const { NO_COLOR: _, FORCE_COLOR: __, ...rest } = process.env;
  const ran = spawnSync(process.execPath, [PROOFCARD, ...args], {
    cwd: folder,
    env: { ...rest, ...environment },
    encoding: "utf8",
  });
  return { status: ran.status, out: ran.stdout, err: ran.stderr };
}

/** A folder of its own with these files, gone when the test is over. */
export function folderWith(files: Readonly<Record<string, string>>): string {
  const folder = mkdtempSync(join(tmpdir(), "proofcard-"));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  for (const [path, text] of Object.entries(files)) {
    mkdirSync(dirname(join(folder, path)), { recursive: true });
    writeFileSync(join(folder, path), text);
  }
  return folder;
}

/** Every file below a folder, relative path to text. */
export function filesIn(folder: string): Record<string, string> {
  const entries = readdirSync(folder, { recursive: true, withFileTypes: true }).filter((entry) => entry.isFile());
  const paths = entries.map((entry) => join(entry.parentPath, entry.name)).sort();
  return Object.fromEntries(paths.map((path) => [path.slice(folder.length + 1), readFileSync(path, "latin1")]));
}

/** A small project (fictional) in which nothing is to be found. */
export const SOUND: Readonly<Record<string, string>> = {
  "project.yaml":
    'kind: project\nformat: 1\ntitle: Bilge pump (fictional)\nsources: ["systems/*.yaml", "cards/*.yaml"]\n',
  "systems/bilge.yaml": [
    "kind: system",
    "title: Bilge system (fictional)",
    "controls:",
    "  pump: { label: PUMP, panel: bilge, positions: [off, on] }",
    "layout:",
    "  bilge: { title: BILGE, at: [0, 0], size: [100, 50], places: { pump: [20, 20] } }",
    "",
  ].join("\n"),
  "cards/start.yaml": [
    "kind: procedure",
    "title: Start the pump",
    "category: normal",
    "revision: { number: 1, date: 2026-11-01, effective: 2026-11-20, by: Engine office }",
    "ends: [pump is on]",
    "steps:",
    "  - set: { pump: on }",
    "",
  ].join("\n"),
};

/** The same with a name that nothing has. */
export const UNSOUND = {
  ...SOUND,
  "cards/start.yaml": SOUND["cards/start.yaml"]!.replace("set: { pump", "set: { pmup"),
};
