import type { Finding, FindingKind } from "../../diagnostics/finding.js";
import { finding } from "../../diagnostics/finding.js";
import type { SourceFile } from "../../source/file.js";
import { SMALL_REPOSITORY, withFile } from "../examples.js";
import { DEEPEST, type Lexeme, tooDeep } from "./lexemes.js";

export const NESTED_TOO_DEEP: FindingKind = {
  code: "yaml/too-deep",
  severity: "error",
  summary: "Lists and maps are nested deeper than a procedure can be.",
  why: "No reader can follow it, and it would stop the program.",
  bad: withFile("start.yaml", `kind: procedure\nsteps: ${"[".repeat(200)}${"]".repeat(200)}\n`),
  good: SMALL_REPOSITORY,
};

export function checkDepth(file: SourceFile, tokens: readonly Lexeme[]): Finding[] {
  const deep = tooDeep(tokens);
  if (!deep) return [];
  const at = { file, start: deep.offset, end: deep.offset + deep.source.length };
  return [
    finding(NESTED_TOO_DEEP, at, `more than ${DEEPEST} lists and maps stand inside each other`, {
      help: ["name inner steps as `parts`"],
    }),
  ];
}

/** What the tokens alone show against the profile. */
export function checkLexemes(_file: SourceFile, _tokens: readonly Lexeme[]): Finding[] {
  return [];
}

/** The tokens before a second document. */
export function firstDocument(tokens: readonly Lexeme[]): readonly Lexeme[] {
  return tokens;
}
