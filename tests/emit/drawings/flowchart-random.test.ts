import { describe, expect, it } from "vitest";
import { measureOf } from "../../../src/emit/drawing/measure.js";
import { layoutProcedure } from "../../../src/emit/flowchart/flowchart.js";
import { gridOf } from "../../../src/emit/flowchart/grid.js";
import { loadFaces } from "../../../src/workspace/fonts.js";
import { programOf } from "../../support/anser-program.js";
import { faultsOf } from "./geometry.js";
import { drawnOrder, meantOrder } from "./order.js";
import { randomProcedure } from "./random-procedure.js";

const grid = gridOf(measureOf(loadFaces()), 10);

/** Wide, narrow and in between: where there is room ways stand side by side, else below each other. */
const ROOMS = [260, 450, 900];

describe("the flowchart of a random procedure", () => {
  it.each(Array.from({ length: 10 }, (_, index) => index * 50))(
    "lies clear and says what the steps say: 50 seeds from %d on",
    (from) => {
      for (let seed = from; seed < from + 50; seed += 1) {
        const procedure = randomProcedure(seed, 5 + (seed % 45));
        const chart = layoutProcedure(programOf(procedure), procedure, grid, ROOMS[seed % 3] ?? 450);
        expect(faultsOf(chart, grid.measure), `seed ${seed}`).toEqual([]);
        expect([...drawnOrder(chart)].sort(), `seed ${seed}`).toEqual([...meantOrder(procedure)].sort());
      }
    },
  );
});
