import { describe, expect, it } from "vitest";
import { measureOf } from "../../../src/emit/drawing/measure.js";
import { panelMapPages, panelMapSvg, panelPaths } from "../../../src/emit/map/map.js";
import { areasOf } from "../../../src/emit/map/site.js";
import type { Program } from "../../../src/program/program.js";
import { loadFaces } from "../../../src/workspace/fonts.js";
import { loadProgram } from "../../support/load.js";
import { checkWellFormed } from "./xml.js";

const measure = measureOf(loadFaces());
const options = { measure, cautions: ["Fictional. Not for operation."] };

const CONTROLS = `
controls:
  pump: { label: PUMP, positions: [off, on], guard-holds: off }
  valve: { label: VALVE, positions: [closed, open] }
  test: { label: TEST, positions: [rest, test], springs: { test: rest } }
gauges:
  well: { label: WELL, unit: L, range: 0 to 400 }
lights:
  low: { label: LOW, colour: red, lit-when: pump is on }
  high: { label: HIGH, colour: amber, lit-when: pump is on }
`;
const LAYOUT = `
layout:
  desk: { title: DESK, area: hull, at: [0, 0], size: [200, 100], places: { pump: [20, 20], valve: [50, 60], low: [100, 20], high: [140, 20] } }
  rack: { title: RACK, area: hull, at: [210, 0], size: [100, 100], places: { test: [10, 20] } }
  well: { title: WELL, area: deck, at: [0, 0], size: [60, 60], places: { well: [30, 30] } }
`;

function programWith(steps: string, layout = LAYOUT): Program {
  const lines = steps
    .trim()
    .split("\n")
    .map((line) => `  ${line}`);
  const { program, findings } = loadProgram({
    "bilge.yaml": `kind: system\nid: bilge\ntitle: Bilge (fictional)${CONTROLS}${layout}`,
    "card.yaml": `kind: procedure\nid: card\ntitle: Pump out\ncategory: normal\nsteps:\n${lines.join("\n")}\n`,
  });
  expect(findings.map(({ message }) => message)).toEqual([]);
  return program;
}

function draw(program: Program): string {
  const svg = panelMapSvg(program, program.procedures.get("card")!, options);
  checkWellFormed(svg);
  return svg;
}

function pathsIn(program: Program) {
  return panelPaths(program, program.procedures.get("card")!);
}

describe("the way of hand and eye", () => {
  it("is measured from place to place, in millimetres", () => {
    // From (20, 20) to (50, 60) is 50 mm, on to (220, 20) on the rack 174.64 mm.
    const [path] = pathsIn(programWith("- set: { pump: on }\n- set: { valve: open }\n- press: { test: test }"));
    expect(path?.length).toBeCloseTo(50 + Math.hypot(170, 40), 6);
    expect(path).toMatchObject({ jumps: 1, returns: 0, walks: 0 });
  });

  it("counts a return to a panel that was left, and a walk to another area without its length", () => {
    const [path] = pathsIn(
      programWith("- set: { pump: on }\n- press: { test: test }\n- set: { valve: open }\n- record: well"),
    );
    expect(path).toMatchObject({ jumps: 3, returns: 1, walks: 1 });
    expect(path?.length).toBeCloseTo(200 + Math.hypot(170, 40), 6);
  });

  it("goes to a guard where its control is, and looks once at several lights of one panel", () => {
    const [path] = pathsIn(programWith("- set: { pump.guard: open }\n- observe: [low, high]\n  lit: none"));
    expect(path?.stops.map(({ thing, act, position }) => [thing, act, position])).toEqual([
      ["pump", "set", "guard OPEN"],
      ["low", "observe", undefined],
    ]);
    expect(path?.stops[1]?.others).toEqual(["high"]);
  });

  it("follows the main line: the first way, and not what an exception asks for", () => {
    const steps = `- check: well <= 100 L
  if-not: { set: { valve: open } }
- decide:
    - when: pump is on
      then:
        - set: { pump: off }
    - otherwise:
        - set: { pump: on }`;
    const program = programWith(steps);
    const [path] = pathsIn(program);
    expect(path?.stops.map(({ thing, act }) => `${act} ${thing}`)).toEqual(["check well", "check pump", "set pump"]);
  });

  it("is nobody's length where a place is missing, and is drawn over a schematic all the same", () => {
    const program = programWith("- set: { pump: on }\n- set: { valve: open }", "");
    const [path] = pathsIn(program);
    expect(path).not.toHaveProperty("length");
    expect(draw(program)).toMatch(/<text [^>]*>PUMP<\/text>/);
  });
});

describe("the panel map", () => {
  it("tells what is set, made sure of, looked at and observed apart by shape", () => {
    const svg = draw(
      programWith("- set: { pump: on }\n- verify: { valve: closed }\n- record: well\n- observe: [low]\n  lit: none"),
    );
    const sign = (title: string) => svg.slice(svg.indexOf(`<title>${title}`)).split("</g>")[0] ?? "";
    expect(sign("Step 1, set: PUMP ON")).toMatch(/<rect [^>]*fill="#000000"/);
    expect(sign("Step 2, made sure of: VALVE CLOSED")).toMatch(/<rect (?!.*rx)[^>]*fill="#ffffff"/);
    expect(sign("Step 3, looked at: WELL")).toMatch(/<rect [^>]*rx=/);
    expect(sign("Step 4, lights observed: LOW")).toMatch(/<path [^>]*Z"/);
  });

  it("stands what is placed where another is beside it, on the panel, so that neither hides the other", () => {
    const layout = LAYOUT.replace("valve: [50, 60]", "valve: [20, 20]").replace("low: [100, 20]", "low: [20, 20]");
    const program = programWith("- set: { pump: on }\n- set: { valve: open }\n- observe: [low]\n  lit: [low]", layout);
    const system = program.systems.get("bilge")!;
    const spots = areasOf(system).flatMap((area) => area.spots.filter(({ panel }) => panel === "desk"));
    for (const one of spots)
      for (const other of spots)
        if (one !== other) expect(Math.hypot(one.x - other.x, one.y - other.y)).toBeGreaterThanOrEqual(20);
    for (const { x } of spots) expect(x >= 0 && x <= 200).toBe(true);
  });

  it("draws what overlaps, lies off its panel or stands on one spot", () => {
    const layout = `
layout:
  desk: { title: DESK, at: [0, 0], size: [100, 100], places: { pump: [20, 20], valve: [20, 20], low: [400, -30] } }
  rack: { title: RACK, at: [50, 0], size: [100, 100], places: { test: [10, 20], high: [12, 20] } }
`;
    const svg = draw(
      programWith("- set: { pump: on }\n- set: { valve: open }\n- observe: [low, high]\n  lit: none", layout),
    );
    for (const name of ["PUMP", "VALVE", "LOW", "HIGH", "TEST"]) expect(svg).toContain(`<title>${name}</title>`);
  });

  it("bends a leg that would run over another stop, and breaks a line that it crosses", () => {
    const layout = `
layout:
  desk: { title: DESK, at: [0, 0], size: [300, 200], places: { pump: [20, 50], valve: [150, 50], test: [280, 50], low: [150, 150], high: [150, 10] } }
`;
    const straight = "- set: { pump: on }\n- press: { test: test }\n- set: { valve: open }";
    const bent = draw(programWith(straight, layout)).match(/<path d="M[^"]*" fill="none" stroke="#0046c8"/g) ?? [];
    expect(bent.filter((path) => path.includes("C"))).toHaveLength(1);
    const crossed = draw(
      programWith(
        "- set: { pump: on }\n- press: { test: test }\n- observe: [low]\n  lit: none\n- observe: [high]\n  lit: none",
        layout,
      ),
    );
    expect(crossed).toMatch(/<path d="M[^"]*" fill="none" stroke="#ffffff"/);
  });

  it("puts what is too wide for a sheet on several, each with the caution and no type too small to print", () => {
    const program = programWith("- set: { pump: on }\n- press: { test: test }\n- record: well");
    // A6, ISO 216.
    const paper = { width: 297.6, height: 419.5, margin: 20 };
    const pages = panelMapPages(program, program.procedures.get("card")!, { ...options, paper });
    expect(pages.length).toBeGreaterThan(1);
    for (const page of pages) {
      const text = JSON.stringify(page.marks);
      expect(text).toContain("Fictional. Not for operation.");
      for (const [, size] of text.matchAll(/"size":([\d.]+)/g)) expect(Number(size)).toBeGreaterThanOrEqual(3.9);
    }
  });

  it("is the same bytes each time", () => {
    const program = programWith("- set: { pump: on }\n- set: { valve: open }");
    const again = panelMapSvg(program, program.procedures.get("card")!, {
      ...options,
      measure: measureOf(loadFaces()),
    });
    expect(again).toBe(draw(program));
  });
});
