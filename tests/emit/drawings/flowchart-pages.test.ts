import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { measureOf } from "../../../src/emit/drawing/measure.js";
import { layoutPages } from "../../../src/emit/flowchart/pages.js";
import type { Piece } from "../../../src/emit/flowchart/piece.js";
import { loadFaces } from "../../../src/workspace/fonts.js";
import { programOf } from "../../support/anser-program.js";
import { loadProgram } from "../../support/load.js";
import { faultsOf } from "./geometry.js";
import { drawnOrder, meantOrder } from "./order.js";
import { randomProcedure } from "./random-procedure.js";

const measure = measureOf(loadFaces());
const MILLIMETRE = 72 / 25.4;
/** ISO 216. */
const PAPERS = [
  { width: 148 * MILLIMETRE, height: 210 * MILLIMETRE, margin: 10 * MILLIMETRE },
  { width: 210 * MILLIMETRE, height: 297 * MILLIMETRE, margin: 15 * MILLIMETRE },
  { width: 297 * MILLIMETRE, height: 210 * MILLIMETRE, margin: 15 * MILLIMETRE },
];

describe("a flowchart on sheets", () => {
  it.each(PAPERS)("fits every sheet of $width by $height points, and loses no way from step to step", (paper) => {
    for (let seed = 1; seed <= 40; seed += 1) {
      const procedure = randomProcedure(seed, 5 + seed);
      const { pages, grid, room } = layoutPages(programOf(procedure), procedure, { measure, paper, cautions: [] });
      for (const { chart } of pages) {
        expect(faultsOf(chart, grid.measure), `seed ${seed}`).toEqual([]);
        expect(isWithin(chart, room) || chart.boxes.length === 1, `seed ${seed}`).toBe(true);
      }
      const whole = joined(pages.map((page) => page.chart));
      expect([...drawnOrder(whole)].sort(), `seed ${seed}`).toEqual([...meantOrder(procedure)].sort());
    }
  });

  it("leads the line of a person whose part stands on a sheet of its own there at once, ahead of where it leads to", () => {
    const folder = join(import.meta.dirname, "../../../examples/brannock");
    const paths = readdirSync(folder, { recursive: true, encoding: "utf8" }).filter((path) => path.endsWith(".yaml"));
    const texts = paths.map((path): [string, string] => [path, readFileSync(join(folder, path), "utf8")]);
    const { program } = loadProgram(Object.fromEntries(texts));
    const procedure = program.procedures.get("blackout-recovery")!;
    const { pages, room } = layoutPages(program, procedure, { measure, paper: PAPERS[1]!, cautions: [] });
    expect(pages.length).toBeGreaterThan(3);
    expect(pages.flatMap(({ chart }) => chart.wires.filter(isMereHop))).toEqual([]);
    const sheetOf = (number: string) =>
      pages.findIndex(({ chart }) => chart.boxes.some((box) => box.node.number === number));
    expect(sheetOf("8k")).toBeLessThan(sheetOf("9"));
    const heights = pages.map(({ chart }) => Math.max(...chart.rects.map(({ y1 }) => y1)) / room.height);
    expect(heights.filter((height) => height < 1 / 3)).toEqual([]);
  });

  it("ends every cut line at two connectors that carry the same letter and name each other's sheet", () => {
    const procedure = randomProcedure(12, 60);
    const { pages } = layoutPages(programOf(procedure), procedure, { measure, paper: PAPERS[0]!, cautions: [] });
    const ends = pages.flatMap(({ chart }, page) =>
      chart.boxes
        .filter((box) => box.node.shape === "connector")
        .map((box) => ({ page: page + 1, letter: box.node.text[0], head: box.node.head, leads: box.node.leads })),
    );
    const letters = [...new Set(ends.map((end) => end.letter))];
    expect(letters.length).toBeGreaterThan(3);
    for (const letter of letters) {
      const pair = ends.filter((end) => end.letter === letter);
      const [out, back] = [pair.find((end) => end.leads), pair.find((end) => !end.leads)];
      expect(pair.length).toBe(2);
      expect(out?.head).toBe(out?.page === back?.page ? "" : `to p. ${back?.page}`);
      expect(back?.head).toBe(out?.page === back?.page ? "" : `from p. ${out?.page}`);
    }
  });
});

/** From the connector at which a line comes to a sheet straight to the one at which it leaves it. */
function isMereHop({ from, to }: Piece["wires"][number]): boolean {
  return from.startsWith("connector-") && from.endsWith("-in") && to.endsWith("-out");
}

function isWithin(chart: Piece, room: { readonly width: number; readonly height: number }): boolean {
  const xs = chart.rects.flatMap((rect) => [rect.x0, rect.x1]);
  const ys = chart.rects.flatMap((rect) => [rect.y0, rect.y1]);
  return (
    Math.max(...xs) - Math.min(...xs) <= room.width + 0.01 && Math.max(...ys) - Math.min(...ys) <= room.height + 0.01
  );
}

/** All sheets as one chart, a line in the place of each pair of connectors. */
function joined(charts: readonly Piece[]): Piece {
  const boxes = charts.flatMap((chart) => [...chart.boxes]);
  const pairs = boxes.filter((box) => box.node.leads).map((box) => box.node.id);
  const wires = pairs.map((from) => ({
    from,
    to: from.replace(/-out$/, "-in"),
    points: [],
    arrow: false,
    broken: false,
  }));
  const [first] = charts;
  return { ...first!, boxes, wires: [...charts.flatMap((chart) => [...chart.wires]), ...wires] };
}
