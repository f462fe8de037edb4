import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { cardDocument } from "../../src/emit/card/document.js";
import { paperOf } from "../../src/emit/layout/paper.js";
import { profileOf } from "../../src/emit/layout/profile.js";
import { pdfBook } from "../../src/emit/pdf/book.js";
import { pdfOf } from "../../src/emit/pdf/document.js";
import { anserStart, programOf, step } from "../support/anser-program.js";
import { cardOf, faces, pagesOf } from "../support/cards.js";
import { loadProgram } from "../support/load.js";
import { readPdf } from "../support/pdf.js";

const arm = profileOf("arm-length")!;
const card = anserStart();
const document = cardDocument(programOf(card), card);

async function printed(paper: string, more = {}) {
  return pdfBook([document], { faces, paper: paperOf(paper)!, profile: arm, ...more });
}

/** ISO 216 in millimetres; Letter by ANSI/ASME Y14.1 (8.5 x 11 inches), half letter folded once. Points: 72 to the inch of 25.4 mm. */
const SIZES: readonly (readonly [string, number, number])[] = [
  ["A4", (210 / 25.4) * 72, (297 / 25.4) * 72],
  ["A5", (148 / 25.4) * 72, (210 / 25.4) * 72],
  ["A6", (105 / 25.4) * 72, (148 / 25.4) * 72],
  ["Letter", 612, 792],
  ["half letter", 396, 612],
  ["90 x 180 mm", (90 / 25.4) * 72, (180 / 25.4) * 72],
];

describe("a card as PDF, read back by pdf.js", () => {
  test.each(SIZES)("%s has the size of the standard within half a point", async (name, width, height) => {
    const { pages } = await readPdf(await printed(name));
    expect(pages.length).toBeGreaterThan(0);
    for (const page of pages) {
      expect(Math.abs(page.width - width)).toBeLessThan(0.5);
      expect(Math.abs(page.height - height)).toBeLessThan(0.5);
    }
  });

  test("reads challenge then response, line by line, in the order of the steps", async () => {
    const { pages } = await readPdf(await printed("A5"));
    const lines = pages.flatMap((page) => page.lines);
    const wanted = [
      "1 GEN BREAKER verify OPEN",
      "2 COOLING PUMP 1 and 2 verify OFF",
      "4 ENGINE HOLD CRANK, 15 s at most",
      "ENGINE LET GO, RUN",
      "5 Wait for Generator (tachometer) READY for 1 min",
      "6 OIL check 3 bar or more",
      "7 GEN BREAKER +1 CLOSED",
    ];
    expect(lines.filter((line) => wanted.includes(line))).toEqual(wanted);
    expect(lines.indexOf("WARNING")).toBe(lines.indexOf("7 GEN BREAKER +1 CLOSED") - 2);
  });

  test("is tagged, titled, in a language, with an outline of its sections", async () => {
    const read = await readPdf(await printed("A5"));
    expect(read).toMatchObject({ title: "Emergency generator start", language: "en", marked: true });
    expect(read.outline.map(({ title, items }) => [title, items.map((item) => item.title)])).toEqual([
      ["Emergency generator start", ["A Safe to start", "B Start"]],
    ]);
    const roles = read.pages.flatMap((page) => page.roles);
    expect(roles.filter((role) => role === "H1")).toHaveLength(1);
    expect(roles.filter((role) => role === "H2")).toHaveLength(2);
    expect(roles.filter((role) => role === "LI").length).toBeGreaterThanOrEqual(9);
  });

  test("puts every text into the structure or marks it as decoration", async () => {
    const { pages } = await readPdf(await printed("A5"));
    const text = pages.flatMap((page) => page.texts.map((one) => one.text)).join(" ");
    expect(text).not.toMatch(/\.{3}/);
    expect(text).toContain("Fictional. Not for operation.");
  });

  test("has the sizes and the leading of its profile: 12 pt body, 14 pt headings, none under 10 (CAP 676), 1.25 to 1.33 (NASA CR-177605)", async () => {
    const { pages } = await readPdf(await printed("A5"));
    const texts = pages.flatMap((page) => page.texts);
    const sizeOf = (text: string) => texts.find((one) => one.text === text)?.size;
    expect(sizeOf("GEN BREAKER")).toBeCloseTo(12, 2);
    expect(sizeOf("OPEN")).toBeCloseTo(12, 2);
    expect(sizeOf("Safe to start")).toBeCloseTo(14, 2);
    expect(Math.min(...texts.map((one) => one.size))).toBeGreaterThanOrEqual(9.99);
    const aside = texts.findIndex((one) => one.text.startsWith("The oil alarm is blind"));
    const leading = ((texts[aside + 1]?.y ?? 0) - (texts[aside]?.y ?? 0)) / 12;
    expect(leading).toBeGreaterThanOrEqual(1.25);
    expect(leading).toBeLessThanOrEqual(1.33);
  });

  test("ends every response at one right edge", async () => {
    const { pages } = await readPdf(await printed("A5"));
    const ends = pages.flatMap((page) =>
      page.texts
        .filter((one) => ["OPEN", "OFF", "LET GO, RUN", "CLOSED"].includes(one.text))
        .map((one) => one.x + one.width),
    );
    expect(ends.length).toBe(4);
    for (const end of ends) expect(end).toBeCloseTo(ends[0] ?? 0, 1);
  });

  test("is the same bytes twice, and dated by its revision", async () => {
    const [one, two] = [await printed("A5"), await printed("A5")];
    expect(Buffer.from(one).equals(Buffer.from(two))).toBe(true);
    expect(Buffer.from(one).toString("latin1")).toContain("(D:20261101000000Z)");
  });

  test("embeds and subsets every face that it uses", async () => {
    const text = Buffer.from(await printed("A5")).toString("latin1");
    const fonts = text.match(/\/Type \/FontDescriptor[\s\S]*?endobj/g) ?? [];
    expect(fonts.length).toBeGreaterThan(0);
    for (const font of fonts) {
      expect(font).toMatch(/\/FontName \/[A-Z]{6}\+/);
      expect(font).toMatch(/\/FontFile[23] \d+ 0 R/);
    }
  });

  test("a title with marks of XML and brackets of PDF breaks nothing", async () => {
    const odd = { ...document, title: "Start <b> & (stop) \\ ] Ω" };
    const read = await readPdf(await pdfBook([odd], { faces, paper: paperOf("A5")!, profile: arm }));
    expect(read.title).toBe(odd.title);
    expect(read.pages[0]?.lines.join(" ")).toContain("Start <b> & (stop)");
  });
});

test("any text whatever makes a file that can be read back, with as many pages as were laid out", async () => {
  const text = fc
    .array(fc.string({ minLength: 1, maxLength: 12, unit: "grapheme" }), { minLength: 1, maxLength: 30 })
    .map((parts) => parts.join(" "));
  await fc.assert(
    fc.asyncProperty(fc.array(fc.tuple(text, text), { minLength: 1, maxLength: 6 }), async (lines) => {
      const card = cardOf(
        lines.map(([challenge, response]) =>
          step({ kind: "do", text: "x" }, { words: { challenge, response }, note: challenge }),
        ),
      );
      const laid = pagesOf([card]);
      const read = await readPdf(await pdfOf(laid, faces));
      expect(read.pages).toHaveLength(laid.pages.length);
    }),
    { numRuns: 10, endOnFailure: true },
  );
});

describe("a book", () => {
  const dir = join(import.meta.dirname, "../../examples/merrow-m46");
  const files = Object.fromEntries(
    readdirSync(dir, { recursive: true, encoding: "utf8" })
      .filter((path) => path.endsWith(".yaml"))
      .sort()
      .map((path) => [path, readFileSync(join(dir, path), "utf8")]),
  );
  const { program } = loadProgram(files);
  const documents = [...program.procedures.values()].map((procedure) => cardDocument(program, procedure));

  test("has cover, index and list of effective pages, and every page number in it is right", async () => {
    const book = await readPdf(await pdfBook(documents, { faces, paper: paperOf("A5")!, profile: arm, matter: true }));
    const index = book.pages.find((page) => page.lines.includes("Index of cards"))!;
    for (const one of documents) {
      const begins = book.pages.findIndex((page) => page.lines[0] === `${one.system} ${one.id}`) + 1;
      expect(begins).toBeGreaterThan(0);
      const line = index.lines.find((candidate) => candidate.includes(`(${one.id})`));
      expect(line?.endsWith(` ${begins}`), `${one.id}: ${line}`).toBe(true);
      const jumps = book.pages.flatMap((page) => page.lines).filter((text) => text.includes(`${one.id} page `));
      for (const jump of jumps) expect(jump).toContain(`page ${begins}`);
    }
    expect(book.pages.flatMap((page) => page.lines)).toContain("List of effective pages");
    expect(book.pages.reduce((sum, page) => sum + page.links, 0)).toBeGreaterThan(documents.length);
  });

  test("goes two up on A4 with every page of the book, in order", async () => {
    const single = await readPdf(await pdfBook(documents, { faces, paper: paperOf("A5")!, profile: arm }));
    const sheets = await readPdf(
      await pdfBook(documents, {
        faces,
        paper: paperOf("A5")!,
        profile: arm,
        sheet: { paper: paperOf("A4 landscape")!, up: 2 },
      }),
    );
    expect(sheets.pages).toHaveLength(Math.ceil(single.pages.length / 2));
    expect(sheets.pages.flatMap((page) => page.texts.map((one) => one.text))).toEqual(
      single.pages.flatMap((page) => page.texts.map((one) => one.text)),
    );
  });
});
