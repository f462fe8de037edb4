import { execFileSync } from "node:child_process";
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { reliancesOf } from "../../src/cli/reliances.js";
import { DIAGRAMS, diagramFiles } from "../../src/emit/diagrams.js";
import { loadWebFaces } from "../../src/workspace/fonts.js";
import { chainOf } from "../emit/drawings/chain.js";
import { Browser } from "../support/browser.js";
import { faces, measure } from "../support/cards.js";
import { loadProgram } from "../support/load.js";
import { type Grey, greyOf } from "../support/png.js";

// What librsvg and Chromium make of the drawings of every example: two readers that share nothing with the writer.

const EXAMPLES = join(import.meta.dirname, "../../examples");
const folder = mkdtempSync(join(tmpdir(), "drawings-"));
const web = loadWebFaces();
const dataOf = (bytes: Uint8Array) => `data:font/woff2;base64,${Buffer.from(bytes).toString("base64")}`;
const options = {
  measure,
  cautions: ["Fictional. Not for operation."],
  faces: { regular: dataOf(web.regular), bold: dataOf(web.bold) },
};

const drawings: (readonly [string, string])[] = [];
for (const name of ["anser", "brannock", "hollin-dome", "merrow-m46"]) {
  const dir = join(EXAMPLES, name);
  const paths = readdirSync(dir, { recursive: true, encoding: "utf8" })
    .filter((path) => path.endsWith(".yaml"))
    .sort();
  const { program } = loadProgram(
    Object.fromEntries(paths.map((path) => [path, readFileSync(join(dir, path), "utf8")])),
  );
  for (const procedure of program.procedures.values()) {
    const reliances = name === "anser" ? reliancesOf(program, procedure, {}) : chainOf(procedure);
    for (const { ending, content } of await diagramFiles(program, procedure, DIAGRAMS, { ...options, reliances })) {
      if (ending.endsWith(".svg")) drawings.push([`${name} ${procedure.id}${ending}`, content]);
    }
  }
}

let browser: Browser;
beforeAll(() => {
  mkdirSync(join(folder, "faces"));
  writeFileSync(join(folder, "faces", "regular.otf"), faces.regular);
  writeFileSync(join(folder, "faces", "bold.otf"), faces.bold);
  writeFileSync(join(folder, "faces", "italic.otf"), faces.italic);
  const cache = `<cachedir>${join(folder, "cache")}</cachedir>`;
  writeFileSync(
    join(folder, "fonts.conf"),
    `<?xml version="1.0"?><fontconfig><dir>${join(folder, "faces")}</dir>${cache}</fontconfig>`,
  );
  browser = new Browser();
});
afterAll(() => {
  browser.close();
  rmSync(folder, { recursive: true, force: true });
});

/** Of every text: what it says, and how wide the browser sets it, in points of the drawing. */
const TEXTS = `[...document.querySelectorAll("svg text")].map((one) => ({
  text: one.textContent, size: Number(one.getAttribute("font-size")), slanted: one.hasAttribute("font-style"),
  bold: one.getAttribute("font-weight") === "700", width: one.getComputedTextLength() }))`;

/** Opens a drawing on a bare page, and waits for its faces. */
async function show(svg: string): Promise<void> {
  await browser.open(`<!doctype html><meta charset="utf-8"><body style="margin:0">${svg}`);
  await browser.evaluate('document.querySelector("svg").style.display = "block"');
  while ((await browser.evaluate('document.fonts.status === "loaded"')) !== true);
}

interface SetText {
  readonly text: string;
  readonly size: number;
  readonly slanted: boolean;
  readonly bold: boolean;
  readonly width: number;
}

describe.each(drawings)("%s", (_, svg) => {
  test("is set by Chromium as wide as it was measured", async () => {
    await show(svg);
    const texts = (await browser.evaluate(TEXTS)) as readonly SetText[];
    expect(texts.length).toBeGreaterThan(3);
    for (const { text, size, slanted, bold, width } of texts) {
      if (slanted) continue;
      const measured = measure.width(text, bold ? "bold" : "regular", size);
      expect(Math.abs(width - measured), `${text} at ${size}`).toBeLessThan(0.02 * measured + 0.3);
    }
  });

  test("looks alike in librsvg and in Chromium", async () => {
    const path = join(folder, "drawing.svg");
    writeFileSync(path, svg);
    const env = { ...process.env, FONTCONFIG_FILE: join(folder, "fonts.conf") };
    // SVG points are 4/3 CSS pixels; both are drawn at 96 dots to the inch.
    const one = greyOf(
      execFileSync("rsvg-convert", ["--dpi-x", "96", "--dpi-y", "96", path], { env, maxBuffer: 1 << 28 }),
    );
    await show(svg);
    const two = greyOf(await browser.screenshot(one.width, one.height));
    const { mean, most } = difference(one, two);
    expect(mean, "mean difference of blocks, of 255").toBeLessThan(2.5);
    expect(most, "largest difference of a block, of 255").toBeLessThan(90);
  });
});

const BLOCK = 12;

/** Of the mean greys of blocks: fine differences of drawing edges and letters fall out. */
function difference(one: Grey, two: Grey): { readonly mean: number; readonly most: number } {
  const [width, height] = [Math.min(one.width, two.width), Math.min(one.height, two.height)];
  let [sum, count, most] = [0, 0, 0];
  for (let y = 0; y + BLOCK <= height; y += BLOCK) {
    for (let x = 0; x + BLOCK <= width; x += BLOCK) {
      const off = Math.abs(blockMean(one, x, y) - blockMean(two, x, y));
      sum += off;
      count += 1;
      most = Math.max(most, off);
    }
  }
  return { mean: sum / count, most };
}

function blockMean({ values, width }: Grey, left: number, top: number): number {
  let sum = 0;
  for (let y = top; y < top + BLOCK; y += 1) {
    for (let x = left; x < left + BLOCK; x += 1) sum += values[y * width + x] as number;
  }
  return sum / BLOCK ** 2;
}
