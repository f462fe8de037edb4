import { describe, expect, test } from "vitest";
import type { Finding, FindingKind } from "../../src/diagnostics/finding.js";
import { cardDocument } from "../../src/emit/card/document.js";
import { measureOf } from "../../src/emit/drawing/measure.js";
import { inspectPages } from "../../src/emit/inspect/inspect.js";
import { EMIT_KINDS } from "../../src/emit/kinds.js";
import { layoutBook } from "../../src/emit/layout/book.js";
import { printSettings } from "../../src/emit/layout/settings.js";
import { loadFaces } from "../../src/workspace/fonts.js";
import { loadProgram } from "../support/load.js";

const measure = measureOf(loadFaces());

describe.each(EMIT_KINDS.map((kind) => [kind.code, kind] as const))("%s", (_, kind) => {
  test("its bad example raises it and nothing else", () => {
    expect([...new Set(findingsIn(kind.bad).map(({ code }) => code))]).toEqual([kind.code]);
  });

  test("its good example raises nothing", () => {
    expect(findingsIn(kind.good)).toEqual([]);
  });
});

/** What reading says, and what the printed cards of the example show. */
function findingsIn(files: FindingKind["bad"]): readonly Finding[] {
  const { program, findings } = loadProgram(files);
  const settings = printSettings(program.project.cards);
  const documents = [...program.procedures.values()].map((procedure) => cardDocument(program, procedure));
  const { pages } = layoutBook(documents, { measure, ...settings });
  return [...findings, ...inspectPages({ program, pages, settings, measure })];
}
