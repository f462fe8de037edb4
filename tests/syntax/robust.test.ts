import { readdirSync, readFileSync } from "node:fs";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { Finding } from "../../src/diagnostics/finding.js";
import { LARGEST_FILE } from "../../src/source/decode.js";
import { parseCondition } from "../../src/syntax/condition/parser.js";
import { SYNTAX_KINDS } from "../../src/syntax/kinds.js";
import { parseDocument } from "../../src/syntax/parse.js";
import { printTree } from "../../src/syntax/print.js";
import { parseQuantity } from "../../src/syntax/quantity.js";
import { readSource } from "../../src/syntax/read.js";
import type { Node } from "../../src/syntax/tree.js";

const CODES = new Set(SYNTAX_KINDS.map(({ code }) => code));
const EXAMPLE = new URL("../../examples/anser/", import.meta.url);
const SOURCES = readdirSync(EXAMPLE, { recursive: true, encoding: "utf8" })
  .filter((name) => name.endsWith(".yaml"))
  .map((name) => readFileSync(new URL(name, EXAMPLE), "utf8"));

/** Reads the bytes as the program does and holds what must be true of any result. */
function read(bytes: Uint8Array): void {
  const source = readSource("any.yaml", bytes);
  expectSound(source.findings);
  if (source.value) readText(source.value.text);
  else expect(source.findings.length).toBeGreaterThan(0);
}

function readText(text: string): void {
  const file = { path: "any.yaml", text };
  const { value, findings } = parseDocument(file);
  expectSound(findings, text.length);
  if (!value) expect(findings.length).toBeGreaterThan(0);
  else visit(value.root, 0, text.length);
}

function expectSound(findings: readonly Finding[], length = Number.POSITIVE_INFINITY): void {
  for (const { code, message, at, edits } of findings) {
    expect(CODES).toContain(code);
    expect(message).toMatch(/^[^\n]+$/);
    for (const span of [at, ...(edits ?? []).map((edit) => edit.at)]) {
      expect(span.start).toBeGreaterThanOrEqual(0);
      expect(span.end).toBeGreaterThanOrEqual(span.start);
      expect(span.end).toBeLessThanOrEqual(length);
    }
  }
}

/** Every part lies inside what holds it; every text can be read as a condition and a quantity, or refused. */
function visit(node: Node, start: number, end: number): void {
  expect(node.span.start).toBeGreaterThanOrEqual(start);
  expect(node.span.end).toBeLessThanOrEqual(end);
  switch (node.kind) {
    case "scalar":
      for (const outcome of [parseCondition(node), parseQuantity(node)]) {
        expectSound(outcome.findings, node.span.file.text.length);
        expect(outcome.findings.length === 0).toBe(outcome.value !== undefined);
      }
      break;
    case "list":
      for (const item of node.items) visit(item, node.span.start, node.span.end);
      break;
    case "map":
      for (const { key, value } of node.entries) {
        visit(key, node.span.start, node.span.end);
        visit(value, node.span.start, node.span.end);
      }
  }
}

const PIECES = [
  "- ",
  ": ",
  "\n",
  "\n  ",
  "{",
  "}",
  "[",
  "]",
  ", ",
  "#",
  " # ",
  "&a ",
  "*a",
  "!t ",
  "? ",
  "| \n",
  ">-\n",
  "'",
  '"',
  "\\",
  "\t",
  "---\n",
  "...\n",
  "%",
  "<<: ",
  "~",
  "\r\n",
  "\u0000",
  "\uFEFF",
  "é",
  "😀",
  "kind: procedure\n",
  "steps:\n",
  "set: ",
  "if: ",
];
const soup = fc.array(fc.constantFrom(...PIECES, "a", "b", "on"), { maxLength: 60 }).map((pieces) => pieces.join(""));

const edit = fc.record({ at: fc.nat(), cut: fc.nat(40), put: fc.oneof(soup, fc.string({ maxLength: 10 })) });
const edited = fc
  .tuple(fc.constantFrom(...SOURCES), fc.array(edit, { minLength: 1, maxLength: 4 }))
  .map(([text, edits]) =>
    edits.reduce((current, { at, cut, put }) => {
      const start = at % (current.length + 1);
      return current.slice(0, start) + put + current.slice(start + cut);
    }, text),
  );

describe("reading never throws and always says why it has no result", () => {
  test("on any bytes", () => {
    fc.assert(fc.property(fc.uint8Array({ maxLength: 300 }), read), { numRuns: 1000 });
  });

  test("on any text", () => {
    fc.assert(fc.property(fc.string({ unit: "binary", maxLength: 200 }), readText), { numRuns: 1000 });
  });

  test("on marks of YAML in any order", () => {
    fc.assert(fc.property(soup, readText), { numRuns: 3000, examples: [['kind: procedure\nif: "\r\n- b']] });
  });

  test("on good files with random edits", () => {
    fc.assert(fc.property(edited, readText), { numRuns: 200 });
  });

  test("on conditions of any words", () => {
    const words = [
      "and",
      "or",
      "not",
      "is",
      "all",
      "any",
      "(",
      ")",
      "checked",
      "for",
      "within",
      "of",
      "done",
      "recorded",
      "60",
      "s",
      ">=",
      "/",
      "a",
      "b.c",
      ",",
      "1,5",
      "≤",
    ];
    const written = fc.array(fc.constantFrom(...words), { maxLength: 15 }).map((parts) => parts.join(" "));
    fc.assert(
      fc.property(fc.oneof(written, fc.string()), (condition) => {
        const span = { file: { path: "a.yaml", text: condition }, start: 0, end: condition.length };
        visit({ kind: "scalar", text: condition, style: "plain", span }, 0, condition.length);
      }),
      { numRuns: 2000 },
    );
  });
});

/** Inputs that cost a careless reader its stack, its memory or hours. Each is as large as a file may be. */
const fill = (part: string) => part.repeat(Math.floor((LARGEST_FILE - 100) / part.length));
const HOSTILE: readonly (readonly [name: string, text: string, code: string])[] = [
  ["lists 10,000 deep", "[".repeat(10_000) + "]".repeat(10_000), "yaml/too-deep"],
  ["maps 10,000 deep", "{a: ".repeat(10_000) + "}".repeat(10_000), "yaml/too-deep"],
  ["dashes 10,000 deep", `${"- ".repeat(10_000)}a`, "yaml/too-deep"],
  ["lines ever further in", Array.from({ length: 900 }, (_, n) => `${" ".repeat(n)}a:`).join("\n"), "yaml/too-deep"],
  ["keys with question marks", fill("? "), "yaml/too-deep"],
  ["brackets one after the other", fill("[]"), "yaml/syntax"],
  ["commas", `[${fill(",")}`, "yaml/unclosed"],
  ["quotes", fill('"'), "yaml/syntax"],
  ["nothing but comments", fill("# c\n"), "file/empty"],
  ["anchors", fill("&a "), "yaml/anchor"],
  ["one key again and again", `kind: rules\n${fill("a: b\n")}`, "yaml/duplicate-key"],
  ["steps that are none", `kind: procedure\nsteps: [${fill("x, ")}]`, "shape/wrong-value"],
  [
    "keys that nobody knows",
    `kind: procedure\n${Array.from({ length: 40_000 }, (_, n) => `k${n}: v`).join("\n")}`,
    "shape/unknown-key",
  ],
];

describe("hostile files are refused within seconds", () => {
  test.each(HOSTILE)("%s", (_, text, code) => {
    const start = performance.now();
    const { findings } = parseDocument({ path: "a.yaml", text });
    expect(performance.now() - start).toBeLessThan(15_000);
    expect(findings.map((found) => found.code)).toContain(code);
    expect(findings.length).toBeLessThanOrEqual(100);
  });

  test("a bomb of aliases, each doubling the one before", () => {
    const lines = Array.from({ length: 40 }, (_, n) => `k${n + 1}: &a${n + 1} [*a${n}, *a${n}]`);
    const { value, findings } = parseDocument({
      path: "a.yaml",
      text: `kind: rules\nk0: &a0 [x, x]\n${lines.join("\n")}\n`,
    });
    expect(findings.map(({ code }) => code)).toContain("yaml/alias");
    expect(printTree(value!.root).length).toBeLessThan(10_000);
  });

  test.each(["(", "not ", "checked (", "a is b and ", "1.", "a is b/", "$", "a ", " "])(
    "a condition of nothing but `%s`",
    (part) => {
      const text = fill(part);
      const start = performance.now();
      const { findings } = parseCondition({
        kind: "scalar",
        text,
        style: "plain",
        span: { file: { path: "a.yaml", text }, start: 0, end: text.length },
      });
      expect(performance.now() - start).toBeLessThan(10_000);
      expect(findings.length).toBe(1);
    },
  );

  test("50 MB", () => {
    const start = performance.now();
    expect(readSource("a.yaml", new Uint8Array(50_000_000)).findings.map(({ code }) => code)).toEqual([
      "file/too-large",
    ]);
    expect(performance.now() - start).toBeLessThan(1000);
  });
});

describe("line ends and marks of encoding", () => {
  test.each(SOURCES.map((text, index) => [index, text] as const))("CR LF reads as LF: file %i", (_, text) => {
    const unix = parseDocument({ path: "a.yaml", text });
    const windows = parseDocument({ path: "a.yaml", text: text.replaceAll("\n", "\r\n") });
    expect(unix.findings).toEqual([]);
    expect(windows.findings).toEqual([]);
    expect(printTree(windows.value!.root)).toBe(printTree(unix.value!.root));
  });

  test("a byte order mark is dropped, from bytes and in a text", () => {
    const text = SOURCES[0]!;
    const bytes = readSource("a.yaml", new TextEncoder().encode(`\uFEFF${text}`));
    expect(bytes.value?.text).toBe(text);
    expect(parseDocument({ path: "a.yaml", text: `\uFEFF${text}` }).findings).toEqual([]);
  });

  test("a key called __proto__ touches no prototype", () => {
    parseDocument({
      path: "a.yaml",
      text: "kind: rules\n__proto__: { polluted: yes }\nrules: [{ __proto__: { polluted: yes } }]\n",
    });
    expect(({} as Record<string, unknown>).polluted).toBeUndefined();
  });
});
