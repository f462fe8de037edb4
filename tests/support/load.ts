import type { Finding } from "../../src/diagnostics/finding.js";
import type { Program } from "../../src/program/program.js";
import { resolveProgram } from "../../src/resolve/resolve.js";
import { parseDocument } from "../../src/syntax/parse.js";
import type { Document } from "../../src/syntax/tree.js";

export interface Loaded {
  readonly program: Program;
  readonly documents: readonly Document[];
  /** What parsing and resolving had to say. */
  readonly findings: readonly Finding[];
}

/** Parses and resolves a repository given as file name to YAML text. */
export function loadProgram(files: Readonly<Record<string, string>>): Loaded {
  const parsed = Object.entries(files).map(([path, text]) => parseDocument({ path, text }));
  const documents = parsed.flatMap(({ value }) => (value ? [value] : []));
  const { value, findings } = resolveProgram(documents);
  return { program: value, documents, findings: [...parsed.flatMap((outcome) => outcome.findings), ...findings] };
}
