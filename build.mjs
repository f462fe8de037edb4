/**
 * Builds dist/: validators from the schemas, the bundled program (entry and lazily loaded chunks), then the declarations.
 * `--quick` leaves the declarations and the clean-up out; the tests use it. Files are replaced one by one, the entries
 * last, so that a program started during a build finds either the old or the new one, whole.
 */
import { spawnSync } from "node:child_process";
import { existsSync, mkdirSync, readdirSync, readFileSync, renameSync, rmSync, writeFileSync } from "node:fs";
import { basename, dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";

const ROOT = dirname(fileURLToPath(import.meta.url));
const OUT = join(ROOT, "dist");
const GENERATOR = join(ROOT, "scripts", "generate-validators.mjs");

/** Left to node_modules: they read their own data files, or are too big to be worth bundling. */
const EXTERNAL = ["pdfkit", "fontkit", "elkjs", "@fontsource/*", "@expo-google-fonts/*"];

/** Bundled CommonJS packages ask for node's own modules by `require`. */
const REQUIRE =
  'import { createRequire as __createRequire } from "node:module";const require = __createRequire(import.meta.url);';

const quick = process.argv.includes("--quick");
if (existsSync(GENERATOR)) run(process.execPath, [GENERATOR]);
const written = await bundle();
if (!quick) {
  removeStale(written);
  run(process.execPath, [join(ROOT, "node_modules", "typescript", "bin", "tsc"), "--emitDeclarationOnly"]);
}

async function bundle() {
  const result = await build({
    absWorkingDir: ROOT,
    entryPoints: { main: "src/cli/main.ts", index: "src/index.ts" },
    outdir: OUT,
    bundle: true,
    splitting: true,
    format: "esm",
    platform: "node",
    target: "node20.19",
    external: EXTERNAL,
    banner: { js: REQUIRE },
    minifyWhitespace: true,
    minifySyntax: true,
    write: false,
    logLevel: "warning",
  });
  const entriesLast = [...result.outputFiles].sort((a, b) => Number(isEntry(a.path)) - Number(isEntry(b.path)));
  mkdirSync(OUT, { recursive: true });
  for (const file of entriesLast) replace(file.path, file.contents);
  return new Set(entriesLast.map((file) => basename(file.path)));
}

function isEntry(path) {
  return ["main.js", "index.js"].includes(basename(path));
}

function replace(path, contents) {
  if (existsSync(path) && readFileSync(path).equals(contents)) return;
  const beside = `${path}.${process.pid}.new`;
  writeFileSync(beside, contents);
  renameSync(beside, path);
}

/** Everything of an earlier build, old declarations included. */
function removeStale(kept) {
  for (const name of readdirSync(OUT)) if (!kept.has(name)) rmSync(join(OUT, name), { recursive: true, force: true });
}

function run(command, args) {
  const outcome = spawnSync(command, args, { cwd: ROOT, stdio: "inherit" });
  if (outcome.status !== 0) process.exit(outcome.status ?? 1);
}
