import type { Finding } from "../../src/diagnostics/finding.js";
import { lintProgram } from "../../src/lint/run.js";
import { parseDocument } from "../../src/syntax/parse.js";
import { loadProgram } from "../support/load.js";

/** What lint says of a repository; one that does not read without a complaint is a mistake of the test. */
export function lintOf(files: Readonly<Record<string, string>>): readonly Finding[] {
  const { program, findings } = loadProgram(files);
  if (findings.length > 0) throw new Error(findings.map(({ at, message }) => `${at.file.path}: ${message}`).join("\n"));
  const documents = Object.entries(files).flatMap(([path, text]) => parseDocument({ path, text }).value ?? []);
  return lintProgram(program, documents);
}

/** Each finding as `code: the words under its caret`. */
export function caretsOf(files: Readonly<Record<string, string>>): readonly string[] {
  return lintOf(files).map(({ code, at }) => `${code}: ${at.file.text.slice(at.start, at.end)}`);
}
