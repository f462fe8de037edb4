import { readFileSync } from "node:fs";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { resolveProgram } from "../../src/resolve/resolve.js";
import { parseDocument } from "../../src/syntax/parse.js";
import type { Document, MapNode, Node } from "../../src/syntax/tree.js";
import { loadProgram } from "../support/load.js";

const NAMES = [
  "anser/systems/anser-emergency-power.yaml",
  "anser/rules/standing.yaml",
  "anser/procedures/emergency-start.yaml",
  "anser/procedures/load-essentials.yaml",
];
const TEXTS = NAMES.map((name) => readFileSync(new URL(`../../examples/${name}`, import.meta.url), "utf8"));

/** Words that mean something somewhere, put where they may mean nothing. */
const WORDS = [
  "breaker",
  ".side",
  "port",
  "all",
  "__proto__",
  "constructor",
  "100 L",
  "is",
  "done",
  "crank",
  "set",
  "{ a: b }",
  "[]",
  "~",
  "for 3 s",
];

function resolveTexts(texts: readonly string[]): void {
  loadProgram(Object.fromEntries(texts.map((text, index) => [NAMES[index]!, text])));
}

describe("resolving never throws", { timeout: 60_000 }, () => {
  it("on texts with a piece cut out or a word put in", () => {
    const edit = fc.record({
      file: fc.nat(3),
      at: fc.double({ min: 0, max: 1, noNaN: true }),
      cut: fc.nat(30),
      put: fc.constantFrom("", ...WORDS),
    });
    fc.assert(
      fc.property(fc.array(edit, { minLength: 1, maxLength: 4 }), (edits) => {
        const texts = [...TEXTS];
        for (const { file, at, cut, put } of edits) {
          const text = texts[file]!;
          const from = Math.floor(at * text.length);
          texts[file] = text.slice(0, from) + put + text.slice(from + cut);
        }
        resolveTexts(texts);
      }),
      { numRuns: 150, seed: 7 },
    );
  });

  it("on trees with values moved, lost or of another shape", () => {
    const documents = TEXTS.map((text, index) => parseDocument({ path: NAMES[index]!, text }).value!);
    fc.assert(
      fc.property(fc.infiniteStream(fc.nat(199)), (numbers) => {
        resolveProgram(documents.map((document) => ({ ...document, root: shaken(document, numbers) })));
      }),
      { numRuns: 150, seed: 11 },
    );
  });

  it("on names that are properties of every object", () => {
    const text = TEXTS[0]!.replaceAll("crossover", "constructor").replaceAll("silence", "to-string");
    const card = TEXTS[2]!.replaceAll("crossover", "constructor").replaceAll("silence", "to-string");
    const rules = TEXTS[1]!.replaceAll("crossover is", "constructor is");
    const { findings } = loadProgram({
      a: text,
      b: rules,
      c: card,
      d: TEXTS[3]!.replaceAll("crossover", "constructor"),
    });
    expect(findings.map(({ message }) => message)).toEqual([]);
  });
});

/** The tree with about one node in a hundred replaced by another of the same tree. */
function shaken({ root }: Document, numbers: Iterator<number>): MapNode {
  const all = [...nodesOf(root)];
  const next = () => numbers.next().value ?? 0;
  const visit = (node: Node): Node => {
    const chance = next();
    if (chance === 0) return all[(next() * 7919 + next()) % all.length]!;
    if (node.kind === "list") return { ...node, items: node.items.filter(() => next() !== 1).map(visit) };
    if (node.kind === "map") {
      return {
        ...node,
        entries: node.entries.filter(() => next() !== 1).map(({ key, value }) => ({ key, value: visit(value) })),
      };
    }
    return node;
  };
  const result = { ...root, entries: root.entries.map(({ key, value }) => ({ key, value: visit(value) })) };
  return result;
}

function* nodesOf(node: Node): Generator<Node> {
  yield node;
  if (node.kind === "list") for (const item of node.items) yield* nodesOf(item);
  if (node.kind === "map") for (const { value } of node.entries) yield* nodesOf(value);
}
