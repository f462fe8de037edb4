import { fileURLToPath } from "node:url";
import { describe, expect, it } from "vitest";
import { DIAGRAMS, type Diagram, diagramFiles, diagramPages } from "../../../src/emit/diagrams.js";
import { measureOf } from "../../../src/emit/drawing/measure.js";
import { svgOf } from "../../../src/emit/drawing/svg.js";
import { layoutProcedure } from "../../../src/emit/flowchart/flowchart.js";
import { gridOf } from "../../../src/emit/flowchart/grid.js";
import { DRAFT_GREY } from "../../../src/emit/layout/draft.js";
import { readProgram } from "../../../src/pipeline.js";
import { loadFaces } from "../../../src/workspace/fonts.js";
import { nodeHost } from "../../../src/workspace/node-host.js";
import { openWorkspace } from "../../../src/workspace/project.js";
import { chainOf } from "./chain.js";
import { faultsOf } from "./geometry.js";
import { checkWellFormed } from "./xml.js";

const measure = measureOf(loadFaces());
const options = { measure, cautions: ["Fictional. Not for operation."] };
const EXAMPLES = ["anser", "brannock", "hollin-dome", "merrow-m46"];

function programOfExample(name: string) {
  const folder = fileURLToPath(new URL(`../../../examples/${name}`, import.meta.url));
  return readProgram(openWorkspace(nodeHost, folder, []).files);
}

describe.each(EXAMPLES)("the pictures of %s", (name) => {
  const program = programOfExample(name);
  const procedures = [...program.procedures.values()];

  it("are well-formed, carry the caution, and are text where they hold text", async () => {
    expect(procedures.length).toBeGreaterThan(0);
    for (const procedure of procedures) {
      for (const { ending, content } of await diagramFiles(program, procedure, DIAGRAMS, {
        ...options,
        reliances: chainOf(procedure),
      })) {
        if (ending.endsWith(".svg")) checkWellFormed(content);
        expect(content, `${procedure.id}${ending}`).toContain("Fictional. Not for operation.");
      }
    }
  });

  it("have flowcharts in which nothing lies over anything else", () => {
    for (const procedure of procedures) {
      const chart = layoutProcedure(program, procedure, gridOf(measure, 10), 450);
      expect(faultsOf(chart, measure), procedure.id).toEqual([]);
    }
  });

  it("go on A5 sheets, none of them larger, each with the caution", async () => {
    // ISO 216: 148 by 210 mm.
    const paper = { width: 419.53, height: 595.28, margin: 28.35 };
    for (const procedure of procedures) {
      const reliances = chainOf(procedure);
      for (const page of await diagramPages(program, procedure, DIAGRAMS, { ...options, paper, reliances })) {
        expect([page.width, page.height]).toEqual([paper.width, paper.height]);
        const svg = svgOf(page);
        checkWellFormed(svg);
        expect(svg).toContain("Fictional. Not for operation.");
      }
    }
  });
});

it("goes DRAFT across every picture when it is one", async () => {
  const program = programOfExample("anser");
  const [procedure] = program.procedures.values();
  const reliances = chainOf(procedure!);
  const all = await diagramFiles(program, procedure!, DIAGRAMS, { ...options, draft: true, reliances });
  const files = all.filter(({ ending }) => ending.endsWith(".svg"));
  expect(files.map(({ ending }) => ending)).toEqual([".flowchart.svg", ".map.svg", ".lights.svg", ".graph.svg"]);
  for (const { content } of files) expect(content).toContain(DRAFT_GREY);
});

it("are the ones asked for and no others; the graph as Mermaid text only where the graph is asked for", async () => {
  const program = programOfExample("anser");
  const [procedure] = program.procedures.values();
  const endings = async (diagrams: readonly Diagram[]) =>
    (await diagramFiles(program, procedure!, diagrams, { ...options, reliances: chainOf(procedure!) })).map(
      ({ ending }) => ending,
    );
  expect(await endings([])).toEqual([]);
  expect(await endings(["map"])).toEqual([".map.svg"]);
  expect(await endings(["mermaid"])).toEqual([".flowchart.mmd"]);
  expect(await endings(["graph", "mermaid"])).toEqual([".graph.svg", ".flowchart.mmd", ".graph.mmd"]);
});
