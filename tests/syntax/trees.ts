import fc from "fast-check";
import type { Node, ScalarNode } from "../../src/syntax/tree.js";

/** A tree without places and styles: what printing and reading must keep. */
export type Bare = string | { readonly list: readonly Bare[] } | { readonly map: readonly (readonly [string, Bare])[] };

export function bare(node: Node): Bare {
  switch (node.kind) {
    case "scalar":
      return node.text;
    case "list":
      return { list: node.items.map(bare) };
    case "map":
      return { map: node.entries.map(({ key, value }) => [key.text, bare(value)] as const) };
  }
}

const NOWHERE = { file: { path: "", text: "" }, start: 0, end: 0 };

export function scalarNode(text: string): ScalarNode {
  return { kind: "scalar", text, style: "plain", span: NOWHERE };
}

/** Texts that YAML could take for something else, beside any text at all. */
const TRAPS = [
  "",
  " ",
  "~",
  "null",
  "yes",
  "007",
  "1E3",
  "6.10",
  "- a",
  "-",
  "--- a",
  "...",
  "? a",
  ": a",
  "a: b",
  "a:b",
  "a:",
  "a #b",
  "a# b",
  "#a",
  "*a",
  "&a b",
  "!a",
  "| a",
  "> a",
  "%a",
  "@a",
  "`a`",
  "'a'",
  '"a"',
  "[a]",
  "{a}",
  "a, b",
  "a]",
  "a\nb",
  "a\nb\n",
  "\na",
  "a\n\nb\n\n",
  " a\n b",
  "a \nb",
  "a\tb",
  "\u2028",
  "\uFEFFa",
  "\uFFFD",
  "\u0000",
  "<<",
  "a\\b",
  "é😀",
  "__proto__",
  "a\r\nb",
];

const text = fc.oneof(
  fc.constantFrom(...TRAPS),
  fc.string({ maxLength: 20 }),
  fc.string({ unit: "grapheme", maxLength: 20 }),
);
const key = fc.oneof(
  fc.constantFrom(...TRAPS.filter((trap) => trap !== "")),
  fc.string({ minLength: 1, maxLength: 12 }),
);

const { node } = fc.letrec<{ node: Node }>((tie) => ({
  node: fc.oneof(
    { maxDepth: 5, withCrossShrink: true },
    { weight: 3, arbitrary: text.map(scalarNode) },
    {
      weight: 1,
      arbitrary: fc
        .tuple(fc.array(tie("node"), { maxLength: 4 }), fc.boolean())
        .map(([items, flow]): Node => ({ kind: "list", items, flow, span: NOWHERE })),
    },
    {
      weight: 2,
      arbitrary: fc
        .tuple(fc.uniqueArray(fc.tuple(key, tie("node")), { maxLength: 4, selector: ([name]) => name }), fc.boolean())
        .map(
          ([entries, flow]): Node => ({
            kind: "map",
            entries: entries.map(([name, value]) => ({ key: scalarNode(name), value })),
            flow,
            span: NOWHERE,
          }),
        ),
    },
  ),
}));

/** Any tree, some of it in brackets. */
export const anyTree: fc.Arbitrary<Node> = node;
