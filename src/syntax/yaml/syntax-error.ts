import type { YAMLError } from "yaml";
import type { Finding, FindingKind } from "../../diagnostics/finding.js";
import { finding } from "../../diagnostics/finding.js";
import type { SourceFile } from "../../source/file.js";
import { SMALL_REPOSITORY, withFile } from "../examples.js";

export const YAML_SYNTAX: FindingKind = {
  code: "yaml/syntax",
  severity: "error",
  summary: "The file is not YAML at this place.",
  why: "What cannot be taken apart cannot be checked.",
  bad: withFile("start.yaml", "kind: procedure\ntitle: 'Start the rig\n"),
  good: SMALL_REPOSITORY,
};

/** YAML's own errors in our words: the first only, as the rest follow from it, and none that another finding explains. */
export function inOurWords(file: SourceFile, errors: readonly YAMLError[], explained: readonly Finding[]): Finding[] {
  const first = [...errors].sort((a, b) => a.pos[0] - b.pos[0])[0];
  if (!first || explained.some((other) => other.at.start <= first.pos[0])) return [];
  const at = { file, start: first.pos[0], end: Math.max(first.pos[1], first.pos[0]) };
  return [finding(YAML_SYNTAX, at, first.message)];
}
