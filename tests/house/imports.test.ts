import { readdirSync, readFileSync } from "node:fs";
import { posix } from "node:path";
import { expect, test } from "vitest";

const STAGES = ["source", "diagnostics", "program", "syntax"];
const SIDE_BY_SIDE = ["resolve", "lint", "prove", "judge", "report", "emit"];
const TOP = [...STAGES, "machine", "order", ...SIDE_BY_SIDE, "catalogue.ts", "pipeline.ts", "version.ts"];

/** What each folder (or file) of src/ may import beside itself and invariant.ts: the direction of DEVELOPERS.md. */
const MAY: Readonly<Record<string, readonly string[]>> = {
  "invariant.ts": [],
  "version.ts": [],
  source: [],
  diagnostics: ["source"],
  program: ["source"],
  syntax: ["source", "diagnostics"],
  machine: STAGES,
  order: [],
  ...Object.fromEntries(SIDE_BY_SIDE.map((folder) => [folder, [...STAGES, "machine"]])),
  "catalogue.ts": [...STAGES, ...SIDE_BY_SIDE],
  "pipeline.ts": [...STAGES, "machine", ...SIDE_BY_SIDE, "catalogue.ts"],
  workspace: TOP,
  cli: [...TOP, "workspace"],
  "index.ts": [...TOP, "workspace"],
};

/** Packages and modules of node that only these places may use; a package that is not here is nobody's. */
const ONLY_IN: Readonly<Record<string, readonly string[]>> = {
  yaml: ["syntax/"],
  ajv: ["syntax/"],
  pdfkit: ["emit/pdf/"],
  fontkit: ["emit/"],
  elkjs: ["emit/"],
  "markdown-it": ["emit/"],
  "@fontsource": ["emit/"],
  "@expo-google-fonts": ["emit/"],
  commander: ["cli/"],
  chalk: ["report/"],
  sarif: ["report/"],
  picomatch: ["workspace/"],
  "node:fs": ["cli/", "workspace/node-host.ts", "workspace/fonts.ts"],
  "node:path": ["cli/", "workspace/"],
  "node:module": ["emit/", "workspace/fonts.ts"],
  "node:url": ["emit/", "cli/"],
  "node:crypto": ["emit/"],
  "node:zlib": ["workspace/"],
};

const SRC = new URL("../../src/", import.meta.url);
const files = readdirSync(SRC, { recursive: true, encoding: "utf8" })
  .map((path) => path.replaceAll("\\", "/"))
  .filter((path) => path.endsWith(".ts") && !path.endsWith(".d.ts"))
  .sort();
const textOf = new Map(files.map((path) => [path, readFileSync(new URL(path, SRC), "utf8")]));
const imports = files.flatMap((path) => targetsOf(path).map((target) => ({ path, target })));
const own = imports
  .filter(({ target }) => target.startsWith("."))
  .map(({ path, target }) => ({ path, to: ownFile(path, target) }));

function targetsOf(path: string): string[] {
  const statement =
    /^(?:import|export)\b[^"'`;=()]*?\bfrom\s*"([^"]+)"|^import\s*"([^"]+)"|\bimport\(\s*"([^"]+)"\s*\)/gm;
  return [...textOf.get(path)!.matchAll(statement)].map((match) => match[1] ?? match[2] ?? match[3]!);
}

function ownFile(path: string, target: string): string {
  return posix.join(posix.dirname(path), target).replace(/\.js$/, ".ts");
}

/** The folder below src/, or the file at its root. */
function placeOf(path: string): string {
  return path.split("/")[0]!;
}

test("imports go one way", () => {
  const wrong = own.filter(({ path, to }) => {
    const [from, into] = [placeOf(path), placeOf(to)];
    return from !== into && into !== "invariant.ts" && !MAY[from]?.includes(into);
  });
  expect(wrong).toEqual([]);
});

test("every folder has its place in the direction", () => {
  expect(files.map(placeOf).filter((place) => !(place in MAY))).toEqual([]);
});

test("a package is used only where it belongs", () => {
  const packages = imports.filter(({ target }) => !target.startsWith("."));
  const wrong = packages.filter(({ path, target }) => {
    const name = Object.keys(ONLY_IN).find((known) => target === known || target.startsWith(`${known}/`));
    return !ONLY_IN[name ?? ""]?.some((place) => path.startsWith(place));
  });
  expect(wrong).toEqual([]);
});

test("no import cycle", () => {
  const done = new Set<string>();
  const cycleFrom = (path: string, trail: readonly string[]): readonly string[] | undefined => {
    if (trail.includes(path)) return [...trail.slice(trail.indexOf(path)), path];
    if (done.has(path)) return undefined;
    for (const { to } of own.filter((one) => one.path === path)) {
      const cycle = cycleFrom(to, [...trail, path]);
      if (cycle) return cycle;
    }
    done.add(path);
    return undefined;
  };
  expect(files.map((path) => cycleFrom(path, [])).filter((cycle) => cycle)).toEqual([]);
});

test("no index.ts below the root, and no rule of lint imports another", () => {
  expect(files.filter((path) => path.endsWith("/index.ts"))).toEqual([]);
  const rule = /^lint\/rules\//;
  expect(own.filter(({ path, to }) => rule.test(path) && rule.test(to))).toEqual([]);
});

test("process, console, clocks and chance stay where they belong", () => {
  const allowed: readonly [RegExp, (path: string) => boolean][] = [
    [/\bconsole\s*\./, (path) => path.startsWith("cli/")],
    [/\bprocess\s*\.\s*\w/, (path) => path.startsWith("cli/") || path === "workspace/node-host.ts"],
    [/\bDate\.now\(|\bnew Date\(\)|\bperformance\.now\(|\bMath\.random\(/, (path) => path.startsWith("cli/")],
  ];
  const wrong = files.flatMap((path) => {
    const code = textOf.get(path)!.replace(/\/\*[\s\S]*?\*\/|\/\/.*/g, "");
    return allowed
      .filter(([what, where]) => what.test(code) && !where(path))
      .map(([what]) => ({ path, what: what.source }));
  });
  expect(wrong).toEqual([]);
});
