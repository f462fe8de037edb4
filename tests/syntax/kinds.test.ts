import { describe, expect, test } from "vitest";
import { parseCondition } from "../../src/syntax/condition/parser.js";
import { SYNTAX_KINDS } from "../../src/syntax/kinds.js";
import { parseDocument } from "../../src/syntax/parse.js";
import type { Node } from "../../src/syntax/tree.js";

/** Keys of the examples whose value is a condition. */
const CONDITIONS = new Set(["if", "check", "never", "wait-for"]);

/** Codes that reading the files and their conditions gives. */
function codesOf(files: Readonly<Record<string, string>>): string[] {
  const outcomes = Object.entries(files).map(([path, text]) => parseDocument({ path, text }));
  const conditions = outcomes.flatMap(({ value }) => (value ? conditionsIn(value.root) : []));
  const findings = [
    ...outcomes.flatMap((outcome) => outcome.findings),
    ...conditions.flatMap((node) => parseCondition(node).findings),
  ];
  return [...new Set(findings.map(({ code }) => code))];
}

function conditionsIn(node: Node): Extract<Node, { kind: "scalar" }>[] {
  switch (node.kind) {
    case "scalar":
      return [];
    case "list":
      return node.items.flatMap(conditionsIn);
    case "map":
      return node.entries.flatMap(({ key, value }) =>
        CONDITIONS.has(key.text) && value.kind === "scalar" ? [value] : conditionsIn(value),
      );
  }
}

describe.each(SYNTAX_KINDS.map((kind) => [kind.code, kind] as const))("%s", (code, kind) => {
  test("is found in its bad example, alone", () => {
    expect(codesOf(kind.bad)).toEqual([code]);
  });

  test("is not found in its good example, nor is anything else", () => {
    expect(codesOf(kind.good)).toEqual([]);
  });
});
