import fc from "fast-check";
import { expect, test } from "vitest";
import { offsetsInFile } from "../../src/syntax/condition/offsets.js";
import { parseDocument } from "../../src/syntax/parse.js";
import { printTree } from "../../src/syntax/print.js";
import type { Node, ScalarNode } from "../../src/syntax/tree.js";
import { anyTree } from "./trees.js";

function* scalars(node: Node): Generator<ScalarNode> {
  if (node.kind === "scalar") yield node;
  if (node.kind === "list") for (const item of node.items) yield* scalars(item);
  if (node.kind === "map") for (const { value } of node.entries) yield* scalars(value);
}

test("each letter of any text, however it is quoted, is found in the file in order", () => {
  fc.assert(
    fc.property(anyTree, (tree) => {
      const text = `kind: rules\ntree:\n${printTree({ kind: "list", items: [tree], flow: false, span: tree.span }).replace(/^(?=.)/gm, "  ")}`;
      const { value } = parseDocument({ path: "a.yaml", text });
      for (const scalar of scalars(value!.root)) {
        const offsets = offsetsInFile(scalar);
        expect(offsets).toHaveLength(scalar.text.length + 1);
        expect(offsets).toEqual(offsets.toSorted((a, b) => a - b));
        for (const [index, letter] of [...scalar.text.split("")].entries()) {
          const there = text[offsets[index]!];
          expect(there === letter || there === "\\", JSON.stringify([scalar.text, letter, there])).toBe(true);
        }
      }
    }),
    { numRuns: 500 },
  );
});

test("an escape of a letter beyond the basic plane is one place", () => {
  const text = 'kind: rules\nsays: "\\U0001F600 b\\x6fard"\n';
  const { value } = parseDocument({ path: "a.yaml", text });
  const scalar = [...scalars(value!.root)].at(-1)!;
  expect(scalar.text).toBe("😀 board");
  const places = offsetsInFile(scalar).map((offset) => offset - text.indexOf('"'));
  expect(places).toEqual([1, 1, 11, 12, 13, 17, 18, 19, 20]);
});
