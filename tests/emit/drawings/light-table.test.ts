import { describe, expect, it } from "vitest";
import { measureOf } from "../../../src/emit/drawing/measure.js";
import { lightTable } from "../../../src/emit/table/lights.js";
import { lightTablePages, lightTableSvg } from "../../../src/emit/table/lights-drawing.js";
import { lightTableHtml } from "../../../src/emit/table/lights-html.js";
import type { Program } from "../../../src/program/program.js";
import { loadFaces } from "../../../src/workspace/fonts.js";
import { loadProgram } from "../../support/load.js";
import { checkWellFormed } from "./xml.js";

const options = { measure: measureOf(loadFaces()), cautions: ["Fictional. Not for operation."] };

function programWith(steps: string): Program {
  const { program, findings } = loadProgram({
    "tern.yaml": `kind: system
id: tern
title: Workboat Tern (fictional)
controls:
  power: { label: POWER, positions: [off, on] }
  test: { label: TEST, positions: [rest, test], springs: { test: rest } }
lights:
  on: { label: RUNNING, colour: green, alert: advisory, lit-when: power is on and test is test }
  hot: { label: HOT, colour: amber, alert: caution, lit-when: test is test }
  fire: { label: FIRE, colour: red, alert: warning, lit-when: test is test }
  bell: { label: BELL, sound: true, lit-when: test is test }
  spare: { label: SPARE, colour: white, lit-when: power is on }
light-sets:
  panel: [on, hot, fire, bell]
`,
    "card.yaml": `kind: procedure\nid: card\ntitle: Lamp test\ncategory: normal\nsteps:\n${steps}`,
  });
  expect(findings.map(({ message }) => message)).toEqual([]);
  return program;
}

const TEST = `  - hold: { test: test }
    while:
      - observe: panel
        lit: [{ on: power is on }, hot, fire, bell]
  - check: hot is out
    if-not: { set-aside: The lamp sticks. }
`;

describe("the light table", () => {
  it("has a row for each light that is looked at, warnings first, and none for the others", () => {
    const program = programWith(TEST);
    const table = lightTable(program, program.procedures.get("card")!);
    // Based on MIL-STD-411F, 5.2.5: warnings, cautions, advisories; what has no alert comes last.
    expect(table.rows.map(({ label }) => label)).toEqual(["FIRE", "HOT", "RUNNING", "BELL"]);
  });

  it("has a column for each case of each look: lit, out or not looked at", () => {
    const program = programWith(TEST);
    const { columns } = lightTable(program, program.procedures.get("card")!);
    expect(columns.map(({ number, case: one, states }) => [number, one, ...states])).toEqual([
      ["1a", "If POWER is ON", "lit", "lit", "lit", "lit"],
      ["1a", "Otherwise", "lit", "lit", "out", "lit"],
      ["2", "", "unseen", "out", "unseen", "unseen"],
    ]);
    expect(columns[0]?.counts).toEqual([
      { colour: "red", number: 1 },
      { colour: "amber", number: 1 },
      { colour: "green", number: 1 },
    ]);
  });

  it("draws the same as SVG and as a table that can be read aloud", () => {
    const program = programWith(TEST);
    const card = program.procedures.get("card")!;
    const svg = lightTableSvg(program, card, options) ?? "";
    checkWellFormed(svg);
    expect(svg).toContain("<title>RUNNING, line 1a: out</title>");
    const html = lightTableHtml(program, card, options) ?? "";
    expect(html).toMatch(
      /<th scope="row">RUNNING<\/th><td><span class="lamp green" role="img" aria-label="lit, green">G<\/span>/,
    );
    expect(html).toContain("Fictional. Not for operation.");
  });

  it("goes on over as many sheets as it needs, no column and no row lost", () => {
    const looks = Array.from({ length: 9 }, () => "  - observe: panel\n    lit: none\n").join("");
    const program = programWith(looks);
    const paper = { width: 297.6, height: 419.5, margin: 20 };
    const pages = lightTablePages(program, program.procedures.get("card")!, { ...options, paper });
    const said = pages.map((page) => JSON.stringify(page.marks)).join("");
    expect(pages.length).toBeGreaterThan(1);
    for (let line = 1; line <= 9; line += 1) expect(said).toContain(`FIRE, line ${line}: out`);
  });

  it("has no sheet more than the words of its columns need, and as many columns on one as on another", () => {
    const looks = Array.from({ length: 8 }, () => "  - observe: panel\n    lit: none\n").join("");
    const program = programWith(looks);
    const card = program.procedures.get("card")!;
    const columnsOn = (width: number) =>
      lightTablePages(program, card, { ...options, paper: { width, height: 595, margin: 28 } }).map(
        (page) => JSON.stringify(page.marks).match(/FIRE, line \d+: out/g)?.length,
      );
    // Columns of 7.5 ems need 8 x 75 pt and the names beside them; `panel` and a number need far less.
    expect(columnsOn(460)).toEqual([8]);
    expect(columnsOn(300)).toEqual([4, 4]);
  });

  it("has no row on a sheet whose lines do not look at it", () => {
    const looks = ["fire", "hot"].flatMap((light) =>
      Array.from({ length: 4 }, () => `  - check: ${light} is out\n    if-not: { do: Call }\n`),
    );
    const program = programWith(looks.join(""));
    const paper = { width: 300, height: 595, margin: 28 };
    const pages = lightTablePages(program, program.procedures.get("card")!, { ...options, paper });
    const said = pages.map((page) => JSON.stringify(page.marks));
    expect(said.map((page) => [page.includes("FIRE, line"), page.includes("HOT, line")])).toEqual([
      [true, false],
      [false, true],
    ]);
  });

  it("is not drawn for a procedure that looks at no lights", () => {
    const program = programWith("  - set: { power: on }\n");
    expect(lightTableSvg(program, program.procedures.get("card")!, options)).toBeUndefined();
  });
});
