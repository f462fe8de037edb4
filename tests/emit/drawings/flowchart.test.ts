import { describe, expect, it } from "vitest";
import { measureOf } from "../../../src/emit/drawing/measure.js";
import { flowchartSvg, layoutProcedure } from "../../../src/emit/flowchart/flowchart.js";
import { gridOf } from "../../../src/emit/flowchart/grid.js";
import { flowchartMermaid } from "../../../src/emit/flowchart/mermaid.js";
import type { Box, Piece, Wire } from "../../../src/emit/flowchart/piece.js";
import type { Step } from "../../../src/program/procedure.js";
import { loadFaces } from "../../../src/workspace/fonts.js";
import { anserStart, HERE, is, procedure, programOf, step } from "../../support/anser-program.js";
import { faultsOf } from "./geometry.js";
import { randomProcedure } from "./random-procedure.js";
import { checkWellFormed } from "./xml.js";

const measure = measureOf(loadFaces());
const grid = gridOf(measure, 10);
const cautions = ["Fictional. Not for operation."];

function chartOf(...steps: readonly Step[]): Piece {
  const one = procedure(steps);
  const chart = layoutProcedure(programOf(one), one, grid, 450);
  expect(faultsOf(chart, measure)).toEqual([]);
  return chart;
}

function boxWith(chart: Piece, text: string): Box {
  const box = chart.boxes.find((candidate) => candidate.node.text.join(" ").includes(text));
  if (!box) throw new Error(`no shape says ${text}`);
  return box;
}

function wire(chart: Piece, from: Box, to: Box): Wire | undefined {
  return chart.wires.find((candidate) => candidate.from === from.node.id && candidate.to === to.node.id);
}

const aside = (text: string) => step({ kind: "set-aside", text });
const doing = (text: string) => step({ kind: "do", text });

/** Shapes and direction: ISO 5807, from memory (standards.md P13). */
describe("the signs of a flowchart", () => {
  it("draws a check as a decision, Yes downwards and No to the right, where the card ends", () => {
    const chart = chartOf(
      step({ kind: "check", condition: is("breaker", "open"), ifNot: [aside("Call.")] }),
      doing("Go on"),
    );
    const [check, end, next] = [
      boxWith(chart, "GEN BREAKER is OPEN?"),
      boxWith(chart, "Call."),
      boxWith(chart, "Go on"),
    ];
    expect(check.node.shape).toBe("decision");
    expect(end.node.shape).toBe("aside");
    expect(next.x).toBe(check.x);
    expect(next.y).toBeGreaterThan(check.y);
    expect(end.x).toBeGreaterThan(check.x);
    expect(wire(chart, check, end)?.points[0]?.x).toBe(check.x + check.width / 2);
    expect(chart.labels.map((label) => label.lines.join(" "))).toEqual(expect.arrayContaining(["Yes", "No"]));
  });

  it("sends what ends to the right though the condition holds, so that what goes on goes straight on", () => {
    const condition = is("breaker", "open");
    // biome-ignore lint/suspicious/noThenProperty: a word of the language
    const chart = chartOf(step({ kind: "if", condition, then: [aside("Stop.")], else: [] }), doing("Go on"));
    const [question, end, next] = [boxWith(chart, "OPEN?"), boxWith(chart, "Stop."), boxWith(chart, "Go on")];
    expect(end.x).toBeGreaterThan(question.x);
    const yes = chart.labels.find((label) => label.lines[0] === "Yes");
    expect(yes?.rect.x0).toBeGreaterThan(question.x + question.width / 2);
    expect(wire(chart, question, next)?.points).toHaveLength(2);
  });

  it("brings a loop back up on the left to a joint above its first step", () => {
    const repeat = step({ kind: "repeat", steps: [doing("Pump")], until: is("breaker", "open"), moves: [] });
    const chart = chartOf(repeat);
    const back = chart.wires.find((candidate) => candidate.to.endsWith("#head") && candidate.from === repeat.name);
    const pump = boxWith(chart, "Pump");
    expect(Math.min(...(back?.points.map((point) => point.x) ?? []))).toBeLessThan(pump.x - pump.width / 2);
    expect(back?.points.at(-1)?.y).toBeLessThan(pump.y);
  });

  it("joins lines that run together at a dot, and at nothing else", () => {
    const then = [doing("Open it")];
    const chart = chartOf(step({ kind: "if", condition: is("breaker", "open"), then, else: [] }), doing("Go on"));
    for (const box of chart.boxes) {
      const into = chart.wires.filter((candidate) => candidate.to === box.node.id && !candidate.broken).length;
      expect(into > 1, box.node.id).toBe(box.node.shape === "joint");
    }
  });

  it("draws another procedure with side bars, and leaves by it where it does not come back", () => {
    const target = { kind: "procedure", id: "load-essentials", title: "Essential loads" } as const;
    const chart = chartOf(
      step({ kind: "perform", target, begins: [], steps: [] }),
      step({ kind: "go-to", procedure: "fire" }),
    );
    expect(boxWith(chart, "Essential loads").node.shape).toBe("predefined");
    const away = boxWith(chart, "Go to: fire");
    expect(chart.wires.some((candidate) => candidate.from === away.node.id)).toBe(false);
  });

  it("meets at the level of the step that is waited for, or below it, and says so with a broken line", () => {
    const first = doing("Free the cable");
    const wait = step({
      kind: "wait-for",
      condition: { kind: "done", step: first.name, span: HERE },
      ifNot: [],
      steps: [],
    });
    const lanes = [
      { by: "eng", steps: [wait, doing("Start")] },
      { by: "mate", steps: [doing("One"), doing("Two"), doing("Three"), first] },
    ];
    const chart = chartOf(step({ kind: "together", lanes }));
    const [from, to] = [boxWith(chart, "Free the cable"), boxWith(chart, "Wait until")];
    expect(to.y + to.height / 2).toBeGreaterThanOrEqual(from.y + from.height / 2 - 0.01);
    expect(wire(chart, from, to)?.broken).toBe(true);
    expect(chart.boxes.filter((box) => box.node.shape === "bar")).toHaveLength(2);
  });

  it("hangs a way that ends beside the spine, which it does not stretch", () => {
    const long = Array.from({ length: 8 }, (_, index) => doing(`Alarm ${index}`));
    const check = (ifNot: readonly Step[]) => step({ kind: "check", condition: is("breaker", "open"), ifNot });
    const spine = (ifNot: readonly Step[]) => {
      const chart = chartOf(check(ifNot), doing("a"), doing("b"), doing("c"), doing("d"), doing("Last"));
      return boxWith(chart, "Last").y;
    };
    expect(spine([...long, aside("Call.")])).toBe(spine([aside("Call.")]));
  });
});

describe("the picture of a flowchart", () => {
  it("is a well-formed SVG with title, description, and text as text, the same bytes each time", () => {
    const one = anserStart();
    const draw = () => flowchartSvg(programOf(one), one, { measure: measureOf(loadFaces()), cautions });
    const svg = draw();
    checkWellFormed(svg);
    expect(svg).toMatch(/role="img" aria-labelledby="(\S+) (\S+)"/);
    expect(svg).toContain('<title id="flowchart-emergency-start-title">Emergency generator start</title>');
    expect(svg).toMatch(/<text [^>]*>Fictional\. Not for operation\.<\/text>/);
    expect(draw()).toBe(svg);
  });

  it("keeps what would break XML out of it", () => {
    const one = procedure([doing(`a < b & "c" \u0001 \uD800`)]);
    checkWellFormed(flowchartSvg(programOf(one), one, { measure, cautions }));
  });
});

describe("the same as Mermaid text", () => {
  it("has a line for every shape and way", () => {
    const one = procedure([
      step({ kind: "check", condition: is("breaker", "open"), ifNot: [aside("Call [1].")] }),
      doing("Go on"),
    ]);
    expect(flowchartMermaid(programOf(one), one, cautions).split("\n")).toEqual([
      "---",
      'title: "Emergency generator start, flowchart"',
      "---",
      "flowchart TD",
      "  %% Fictional. Not for operation.",
      '  n1(["Emergency generator start"])',
      '  n2{"1<br>GEN BREAKER is OPEN?"}',
      "  n1 --> n2",
      '  n3(["Set aside: Call #91;1#93;."])',
      '  n2 -->|"No"| n3',
      '  n4["2<br>Go on"]',
      '  n2 -->|"Yes"| n4',
      '  n5(["End of procedure"])',
      "  n4 --> n5",
      "  classDef heavy stroke-width:3px",
      "  class n3 heavy",
      "",
    ]);
  });

  it("keeps to the few forms of line that Mermaid's flowchart grammar has for them", () => {
    const text = String.raw`"[^"\n]*"`;
    const form = new RegExp(
      `^  (?:n\\d+(?:\\(\\[${text}\\]\\)|\\[${text}\\]|\\{${text}\\}|\\[\\[${text}\\]\\]|\\(\\( \\)\\))|n\\d+ (?:-->|-\\.->)(?:\\|${text}\\|)? n\\d+|subgraph n\\d+\\[${text}\\]|direction TB|end|classDef .*|class [n\\d,]+ heavy)$`,
    );
    for (let seed = 1; seed <= 60; seed += 1) {
      const one = randomProcedure(seed, 20);
      const lines = flowchartMermaid(programOf(one), one, []).split("\n").slice(4, -1);
      expect(
        lines.filter((line) => !form.test(line)),
        `seed ${seed}`,
      ).toEqual([]);
    }
  });
});
