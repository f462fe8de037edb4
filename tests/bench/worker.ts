import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { buildSync } from "esbuild";
import { ROOT } from "../cli/run.js";

/** Builds a script of this folder as the program is built, to be run in a process of its own; gives its path. */
export function builtWorker(name: string): string {
  const outfile = join(ROOT, "out", "bench", `${name}.mjs`);
  mkdirSync(join(ROOT, "out", "bench"), { recursive: true });
  buildSync({
    entryPoints: [join(import.meta.dirname, `${name}.ts`)],
    outfile,
    bundle: true,
    platform: "node",
    format: "esm",
    packages: "external",
  });
  return outfile;
}
