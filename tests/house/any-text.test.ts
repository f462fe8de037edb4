import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import fc from "fast-check";
import { expect, test } from "vitest";
import { check } from "../../src/pipeline.js";
import { renderJson } from "../../src/report/json.js";
import { renderSarif } from "../../src/report/sarif.js";
import { renderText } from "../../src/report/text.js";
import type { SourceFile } from "../../src/source/file.js";

const EXAMPLE = join(import.meta.dirname, "../../examples/anser");
const FILES: readonly SourceFile[] = readdirSync(EXAMPLE, { recursive: true, encoding: "utf8" })
  .filter((path) => path.endsWith(".yaml"))
  .sort()
  .map((path) => ({ path, text: readFileSync(join(EXAMPLE, path), "utf8") }));

/** No time for proofs: what is tried here is that no text whatever makes the run fail. */
const OPTIONS = { deadline: () => true };
const CONTEXT = { version: "0", kinds: [] };

/** What people and editors do to a file: cut a piece, put in another, say a piece twice. */
const edit = fc.record({
  file: fc.nat(FILES.length - 1),
  at: fc.double({ min: 0, max: 1, noNaN: true }),
  length: fc.nat(40),
  text: fc.oneof(
    fc.constantFrom(
      "",
      ": ",
      "\n",
      "  ",
      "- ",
      "{",
      "}",
      "[",
      "]",
      '"',
      "'",
      "#",
      "&a ",
      "*a",
      "!!x ",
      "|\n",
      "\t",
      "\uFFFD",
      "\0",
    ),
    fc.constantFrom(
      "is not",
      "all ",
      "checked (",
      ")",
      ".side",
      " for 5 s",
      "kind: rules",
      "perform: panel-test",
      "1e400",
    ),
    fc.string({ maxLength: 20, unit: "binary" }),
  ),
});

function edited(edits: readonly { file: number; at: number; length: number; text: string }[]): SourceFile[] {
  return FILES.map(({ path, text }, index) => {
    const own = edits.filter(({ file }) => file === index);
    return { path, text: own.reduce((now, one) => splice(now, one), text) };
  });
}

function splice(text: string, { at, length, text: put }: { at: number; length: number; text: string }): string {
  const start = Math.floor(at * text.length);
  return text.slice(0, start) + put + text.slice(start + length);
}

test("no edit of a repository makes a run or a report fail, and two runs say the same", () => {
  fc.assert(
    fc.property(fc.array(edit, { minLength: 1, maxLength: 4 }), (edits) => {
      const files = edited(edits);
      const { report } = check(files, OPTIONS);
      const text = renderText(report, CONTEXT, { colour: false, columns: 100, summary: true });
      expect(() => JSON.parse(renderSarif(report, CONTEXT))).not.toThrow();
      expect(renderJson(check([...files].reverse(), OPTIONS).report, CONTEXT)).toBe(renderJson(report, CONTEXT));
      for (const { at } of report.findings) expect(at.start >= 0 && at.end <= at.file.text.length, text).toBe(true);
    }),
    { numRuns: 150, seed: 20261125 },
  );
}, 120_000);

test("nor do bytes at random", () => {
  fc.assert(
    fc.property(fc.string({ maxLength: 200, unit: "binary" }), (text) => {
      const { report } = check([{ path: "a.yaml", text }], OPTIONS);
      renderText(report, CONTEXT, { colour: false, columns: 40, summary: true });
      expect(report.findings.length).toBeGreaterThan(0);
    }),
    { numRuns: 300, seed: 20261125 },
  );
});
