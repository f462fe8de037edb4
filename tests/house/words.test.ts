import { readdirSync, readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { CAUTION as ON_CARDS } from "../../src/emit/card/document.js";
import { CAUTION as IN_REPORTS } from "../../src/report/report.js";

test("cards and reports carry the same caution", () => {
  expect(IN_REPORTS).toBe(ON_CARDS);
});

test("nothing that the program says calls a procedure safe or compliant", () => {
  const src = new URL("../../src/", import.meta.url);
  const files = readdirSync(src, { recursive: true, encoding: "utf8" }).filter((path) => path.endsWith(".ts"));
  const claims = files.flatMap((path) => {
    const text = readFileSync(new URL(path, src), "utf8").replace(/\/\*[\s\S]*?\*\/|\/\/.*/g, "");
    return [...text.matchAll(/\b(?:is|are|proved|now) (?:safe|compliant|certified)\b|\bcomplies with\b/gi)].map(
      ([claim]) => `${path}: ${claim}`,
    );
  });
  expect(claims).toEqual([]);
});
