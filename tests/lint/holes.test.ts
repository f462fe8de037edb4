import { readdirSync, readFileSync } from "node:fs";
import { expect, test } from "vitest";
import type { Finding } from "../../src/diagnostics/finding.js";
import { lintProgram } from "../../src/lint/run.js";
import { resolveProgram } from "../../src/resolve/resolve.js";
import { parseDocument } from "../../src/syntax/parse.js";
import { loadProgram } from "../support/load.js";

const folder = new URL("../../examples/anser/", import.meta.url);
const paths = readdirSync(folder, { recursive: true, encoding: "utf8" }).filter((path) => path.endsWith(".yaml"));
const files = Object.fromEntries(paths.sort().map((path) => [path, readFileSync(new URL(path, folder), "utf8")]));

const whole = new Map(Object.entries(files).map(([path, text]) => [path, parseDocument({ path, text }).value]));

/** Lints the repository with another text in one file, or without it, whether or not it reads. */
function lintWith(path: string, text: string | undefined): readonly Finding[] {
  const other = text === undefined ? undefined : parseDocument({ path, text }).value;
  const documents = [...new Map([...whole, [path, other]]).values()].flatMap((document) => document ?? []);
  return lintProgram(resolveProgram(documents).value, documents);
}

/** Every fifth line is enough to meet each kind of line, and quick. */
const STRIDE = 5;

test.each(paths)("a line may be missing from %s", (path) => {
  const lines = (files[path] ?? "").split("\n");
  for (let index = 0; index < lines.length; index += STRIDE) {
    const text = lines.filter((_, other) => other !== index).join("\n");
    expect(() => lintWith(path, text)).not.toThrow();
  }
});

test.each(paths)("%s may be missing", (path) => {
  expect(() => lintWith(path, undefined)).not.toThrow();
});

test("without the trees a finding points within its step", () => {
  const text = (files["procedures/emergency-start.yaml"] ?? "").replace("Read both day tanks", "Read both tanks TBD");
  const { program } = loadProgram({ ...files, "procedures/emergency-start.yaml": text });
  const places = lintProgram(program, []).map(({ code, at }) => `${code}: ${at.file.text.slice(at.start, at.end)}`);
  expect(places).toEqual(["wording/placeholder: TBD"]);
});
