import fc from "fast-check";
import { FAILSAFE_SCHEMA, load } from "js-yaml";
import { describe, expect, test } from "vitest";
import { parseDocument } from "../../src/syntax/parse.js";
import { printTree } from "../../src/syntax/print.js";
import type { MapNode, Node } from "../../src/syntax/tree.js";
import { anyTree, type Bare, bare, scalarNode } from "./trees.js";

/** A tree under a key of a file, so that a document comes of it whatever its shape. */
function fileWith(tree: Node): MapNode {
  const entries = [
    { key: scalarNode("kind"), value: scalarNode("procedure") },
    { key: scalarNode("tree"), value: tree },
  ];
  return { kind: "map", entries, flow: false, span: tree.span };
}

function reread(text: string): MapNode {
  const { value, findings } = parseDocument({ path: "a.yaml", text });
  expect(
    findings.filter(({ code }) => code.startsWith("yaml/") || code.startsWith("file/")),
    text,
  ).toEqual([]);
  return value!.root;
}

describe("printing a tree", () => {
  test("and reading it gives the same tree; printing that gives the same text", () => {
    fc.assert(
      fc.property(anyTree, (tree) => {
        const printed = printTree(fileWith(tree));
        const again = reread(printed);
        expect(bare(again)).toEqual(bare(fileWith(tree)));
        expect(printTree(again)).toBe(printed);
      }),
      { numRuns: 500 },
    );
  });

  test("gives text that another reader of YAML, js-yaml, understands alike", () => {
    fc.assert(
      fc.property(anyTree, (tree) => {
        expect(load(printTree(fileWith(tree)), { schema: FAILSAFE_SCHEMA })).toEqual(asValue(bare(fileWith(tree))));
      }),
      { numRuns: 500 },
    );
  });

  test("keeps brackets that fit on the line and opens those that do not", () => {
    const text = `kind: procedure\nends: [a, b]\nbegins: [${Array.from({ length: 30 }, (_, n) => `gate-${n} is open`).join(", ")}]\n`;
    const printed = printTree(reread(text));
    expect(printed).toContain("ends: [a, b]\n");
    expect(printed).toContain("begins:\n  - gate-0 is open\n  - gate-1 is open\n");
  });
});

function asValue(tree: Bare): unknown {
  if (typeof tree === "string") return tree;
  if ("list" in tree) return tree.list.map(asValue);
  const value: Record<string, unknown> = {};
  for (const [key, inner] of tree.map) {
    Object.defineProperty(value, key, { value: asValue(inner), enumerable: true, configurable: true, writable: true });
  }
  return value;
}
