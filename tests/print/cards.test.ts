import { execFileSync } from "node:child_process";
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import type { Block, CardDocument, Line } from "../../src/emit/card/content.js";
import { cardDocument } from "../../src/emit/card/document.js";
import { stepBlocks } from "../../src/emit/card/keys.js";
import { htmlCard } from "../../src/emit/html/card.js";
import { fontStyle } from "../../src/emit/html/faces.js";
import { layoutBook } from "../../src/emit/layout/book.js";
import { paperOf } from "../../src/emit/layout/paper.js";
import { profileOf } from "../../src/emit/layout/profile.js";
import { pdfOf } from "../../src/emit/pdf/document.js";
import { loadWebFaces } from "../../src/workspace/fonts.js";
import { Browser } from "../support/browser.js";
import { faces, measure } from "../support/cards.js";
import { loadProgram } from "../support/load.js";

// What poppler and Chromium make of the cards of every example: two readers that share nothing with the writer.

const EXAMPLES = join(import.meta.dirname, "../../examples");
const folder = mkdtempSync(join(tmpdir(), "cards-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const cards = ["anser", "brannock", "hollin-dome", "merrow-m46"].flatMap((name) => {
  const dir = join(EXAMPLES, name);
  const paths = readdirSync(dir, { recursive: true, encoding: "utf8" })
    .filter((path) => path.endsWith(".yaml"))
    .sort();
  const { program } = loadProgram(
    Object.fromEntries(paths.map((path) => [path, readFileSync(join(dir, path), "utf8")])),
  );
  return [...program.procedures.values()].flatMap((procedure) =>
    procedure.readAs.map((readAs): readonly [string, CardDocument] => [
      `${name} ${procedure.id}, ${readAs}`,
      cardDocument(program, procedure, { readAs }),
    ]),
  );
});

/** `challenge response` of every pair, in the order of the card. */
function pairsOf(document: CardDocument): readonly { readonly challenge: string; readonly response: string }[] {
  const lines: readonly Line[] = everyBlock(document.blocks).flat();
  return lines.flatMap((line) =>
    line.kind === "pair"
      ? [
          {
            challenge: `${line.joined ? "and " : ""}${line.challenge}`,
            response: `${line.lead ? `${line.lead} ` : ""}${line.response}`,
          },
        ]
      : [],
  );
}

function everyBlock(blocks: readonly Block[]): readonly (readonly Line[])[] {
  return stepBlocks(blocks).map((block) => block.lines);
}

/** The text with what stands between words made one space, and leader dots and marks of foot notes left out. */
function squeezed(text: string): string {
  return text
    .replace(/\.{2,}/g, " ")
    .replace(/\f?page \d+ of \d+\n/g, " ")
    .replace(/(?<=\s)\+\d+(?=\s)/g, " ")
    .replace(/\s+/g, " ");
}

/** Where each word group is found, each after the one before; -1 where it is not. */
function inOrder(text: string, wanted: readonly string[]): readonly string[] {
  let at = 0;
  return wanted.filter((part) => {
    const found = text.indexOf(part, at);
    if (found >= 0) at = found + part.length;
    return found < 0;
  });
}

async function printed(document: CardDocument, paper: string): Promise<string> {
  const path = join(folder, "card.pdf");
  const book = layoutBook([document], { measure, paper: paperOf(paper)!, profile: profileOf("arm-length")! });
  writeFileSync(path, await pdfOf(book, faces));
  return path;
}

describe.each(cards)("%s", (_, document) => {
  test("pdftotext, in reading order, gives every challenge and then its response", async () => {
    const path = await printed(document, "A5");
    const text = squeezed(execFileSync("pdftotext", ["-enc", "UTF-8", path, "-"], { encoding: "utf8" }));
    const words = pairsOf(document).flatMap(({ challenge, response }) => [firstWords(challenge), firstWords(response)]);
    expect(inOrder(text, words)).toEqual([]);
  });

  test("pdffonts finds every face embedded, a subset, with a table to Unicode", async () => {
    const rows = execFileSync("pdffonts", [await printed(document, "A5")], { encoding: "utf8" })
      .split("\n")
      .slice(2)
      .filter(Boolean);
    expect(rows.length).toBeGreaterThan(0);
    for (const row of rows) expect(row).toMatch(/ yes yes yes /);
  });

  test.each([
    ["A4", 595.276, 841.89],
    ["A5", 419.528, 595.276],
    ["A6", 297.638, 419.528],
    ["Letter", 612, 792],
    ["half letter", 396, 612],
  ] as const)(
    "pdfinfo: every page is %s, %d by %d pt (ISO 216; Letter 8.5 by 11 inches)",
    async (paper, width, height) => {
      const info = execFileSync("pdfinfo", ["-l", "999", "-box", await printed(document, paper)], { encoding: "utf8" });
      const boxes = [...info.matchAll(/MediaBox:\s+([\d.-]+)\s+([\d.-]+)\s+([\d.-]+)\s+([\d.-]+)/g)].map((match) =>
        match.slice(1).map(Number),
      );
      expect(boxes.length).toBeGreaterThan(0);
      for (const [left, bottom, right, top] of boxes) {
        expect(Math.abs((right ?? 0) - (left ?? 0) - width)).toBeLessThan(0.5);
        expect(Math.abs((top ?? 0) - (bottom ?? 0) - height)).toBeLessThan(0.5);
      }
      expect(info).toMatch(/Tagged:\s+yes/);
    },
  );
});

describe("the pages in a browser", () => {
  const style = { fontStyle: fontStyle(loadWebFaces()) };
  let browser: Browser;
  beforeAll(() => {
    browser = new Browser();
  });
  afterAll(() => browser.close());

  test.each(cards)(
    "%s: printed on A4 and A5 it has the same lines in the same order as the card",
    async (_, document) => {
      await browser.open(htmlCard(document, style));
      const words = pairsOf(document).flatMap(({ challenge, response }) => [
        firstWords(challenge),
        firstWords(response),
      ]);
      for (const [width, height] of [
        [210, 297],
        [148, 210],
      ] as const) {
        const path = join(folder, "page.pdf");
        writeFileSync(path, await browser.print(width, height));
        const text = squeezed(execFileSync("pdftotext", ["-enc", "UTF-8", "-raw", path, "-"], { encoding: "utf8" }));
        expect(inOrder(text, words)).toEqual([]);
      }
    },
  );

  test.each(cards)(
    "%s: what a screen reader is told has the title, the headings and the lines in order",
    async (_, document) => {
      await browser.open(htmlCard(document, style));
      const tree = await browser.accessibility();
      const headings = tree.filter(({ role }) => role === "heading").map(({ name }) => name);
      const sections = document.blocks.flatMap((block) => (block.kind === "section" ? [block.title] : []));
      expect(headings[0]).toBe(document.title);
      expect(inOrder(headings.join("\n"), sections)).toEqual([]);
      expect(tree.filter(({ role }) => role === "listitem").length).toBeGreaterThanOrEqual(
        stepBlocks(document.blocks).length,
      );
      const told = squeezed(
        tree
          .filter(({ role }) => role === "StaticText")
          .map(({ name }) => name)
          .join(" "),
      );
      expect(
        inOrder(
          told,
          pairsOf(document).flatMap(({ challenge, response }) => [firstWords(challenge), firstWords(response)]),
        ),
      ).toEqual([]);
    },
  );

  test("nothing is wider than the window, on a telephone too", async () => {
    for (const [, document] of cards) {
      await browser.open(htmlCard(document, style));
      expect(await browser.evaluate("document.documentElement.scrollWidth <= window.innerWidth")).toBe(true);
    }
  });

  test("the style is let in by the policy, and the face with it", async () => {
    await browser.open(htmlCard(cards[0]![1], style));
    expect(await browser.evaluate("getComputedStyle(document.querySelector('h1')).fontWeight")).toBe("700");
    expect(
      await browser.evaluate(
        "[...document.fonts].filter((face) => face.family === 'B612').map((face) => face.status).includes('loaded')",
      ),
    ).toBe(true);
  });
});

/** Enough of a text to know it by, and not so much that a line break falls into a long one. */
function firstWords(text: string): string {
  return text.replace(/\s+/g, " ").split(" ").slice(0, 2).join(" ");
}
