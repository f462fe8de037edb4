import { describe, expect, it, test } from "vitest";
import type { Point } from "../../../src/emit/drawing/marks.js";
import { measureOf } from "../../../src/emit/drawing/measure.js";
import { gridOf } from "../../../src/emit/flowchart/grid.js";
import { dependencyPages, dependencySvg, placedParts } from "../../../src/emit/graph/drawing.js";
import type { PlacedBox } from "../../../src/emit/graph/layout.js";
import { dependencyMermaid } from "../../../src/emit/graph/mermaid.js";
import { packed, partsOf } from "../../../src/emit/graph/pack.js";
import { graphOf, type Reliance, type Reliances, stepText } from "../../../src/emit/graph/reliance.js";
import type { Rule } from "../../../src/program/rule.js";
import { walkSteps } from "../../../src/program/walk.js";
import { loadFaces } from "../../../src/workspace/fonts.js";
import { HERE, is, procedure, programOf, set, step } from "../../support/anser-program.js";
import { weir } from "../../support/weir.js";
import { checkWellFormed } from "./xml.js";

const measure = measureOf(loadFaces());
const options = { measure, cautions: ["Fictional. Not for operation."] };
const steps = Array.from({ length: 24 }, (_, index) => set(["breaker"], index % 2 ? "open" : "closed"));
const card = procedure([...steps, step({ kind: "do", text: "Stand clear" })], { ends: [is("breaker", "closed")] });
const rule: Rule = {
  id: "pumps-first",
  system: "anser",
  says: "Pumps run before the board is live.",
  form: { kind: "never", condition: is("breaker", "closed") },
  scope: {},
  severity: "error",
  span: HERE,
};
const program = { ...programOf(card), rules: [rule] };
const nameAt = (index: number) => card.steps[index]?.name ?? "";

/** Each step on one before it, some on several; the rule and the promise on a few. */
const all: readonly Reliance[] = [
  ...steps.flatMap((_, index): Reliance[] =>
    index === 0 ? [] : [{ step: nameAt(Math.floor(index / 2)), on: { kind: "step", step: nameAt(index) } }],
  ),
  ...[3, 9, 14].map((index): Reliance => ({ step: nameAt(index), on: { kind: "step", step: nameAt(23) } })),
  ...[2, 5, 11].map((index): Reliance => ({ step: nameAt(index), on: { kind: "rule", rule: "pumps-first" } })),
  { step: nameAt(23), on: { kind: "promise", index: 0 } },
];
const reliances: Reliances = { all, unanswered: 0 };

describe("the dependency graph", () => {
  it("holds what relies and what is relied on, each once, and counts the steps that stand apart", () => {
    const nowhere: Reliance = { step: "nowhere", on: { kind: "rule", rule: "none" } };
    const graph = graphOf(program, card, { all: [...all, ...all, nowhere], unanswered: 0 });
    expect(graph.edges).toHaveLength(all.length);
    expect(graph.nodes.filter((node) => node.kind !== "step").map((node) => node.text)).toEqual([
      ["Pumps run before the board is live."],
      ["At the end: GEN BREAKER is CLOSED"],
    ]);
    expect(graph.apart).toBe(1);
  });

  it("lies clear: no box over another, no line through a box, each line from its box to its box", async () => {
    const graph = graphOf(program, card, reliances);
    const [placed] = packed(await placedParts(partsOf(graph), gridOf(measure, 10)), { width: 900, height: 1e6 }, 20);
    if (!placed) throw new Error("nothing was placed");
    const boxes = placed.boxes.map((box) => [box.id, box] as const);
    const boxOf = new Map(boxes);
    boxes.forEach(([name, a], index) => {
      for (const [other, b] of boxes.slice(index + 1)) expect(overlap(a, b), `${name}, ${other}`).toBe(false);
    });
    expect(placed.lines).toHaveLength(all.length);
    for (const { edge, points } of placed.lines) {
      expect(onEdge(boxOf.get(edge.from)!, points[0]!), edge.from).toBe(true);
      expect(onEdge(boxOf.get(edge.to)!, points.at(-1)!), edge.to).toBe(true);
      points.slice(1).forEach((point, index) => {
        for (const [name, box] of boxes)
          expect(crosses(points[index]!, point, box), `${edge.from} -> ${edge.to}, ${name}`).toBe(false);
      });
    }
  });

  it("is a well-formed SVG, the same bytes each time, and nothing where nothing relies on anything", async () => {
    const svg = await dependencySvg(program, card, reliances, options);
    checkWellFormed(svg ?? "");
    expect(svg).toContain("Fictional. Not for operation.");
    expect(await dependencySvg(program, card, reliances, options)).toBe(svg);
    expect(await dependencySvg(program, card, { all: [], unanswered: 0 }, options)).toBeUndefined();
  });

  it("goes over sheets where one is too small, with every box on one of them, at one scale", async () => {
    const pairs = [0, 2, 4, 6, 8, 10, 12, 14].map(
      (index): Reliance => ({ step: nameAt(index), on: { kind: "step", step: nameAt(index + 1) } }),
    );
    const paper = { width: 300, height: 300, margin: 20 };
    const pages = await dependencyPages(program, card, { all: pairs, unanswered: 0 }, { ...options, paper });
    expect(pages.length).toBeGreaterThan(1);
    const titles = pages.flatMap(({ marks }) => marks.flatMap((mark) => (mark.kind === "group" ? [mark.title] : [])));
    expect(titles.length).toBe(16);
    expect(new Set(titles).size).toBe(16);
    for (const { width, height } of pages) expect([width, height]).toEqual([300, 300]);
  });

  it("falls apart into steps, each with what relies on it, where it would come out too small to read", async () => {
    const paper = { width: 419.53, height: 595.28, margin: 28 };
    const pages = await dependencyPages(program, card, reliances, { ...options, paper });
    const text = pages.flatMap(({ marks }) => marks.flatMap((mark) => (mark.kind === "group" ? mark.marks : [mark])));
    const sizes = text.flatMap((mark) => (mark.kind === "text" ? [mark.size] : []));
    expect(Math.min(...sizes)).toBeGreaterThan(7);
    expect(text.some((mark) => mark.kind === "text" && mark.text.includes("several places"))).toBe(true);
  });

  it("says where steps could not be answered for", async () => {
    expect(await dependencySvg(program, card, { all, unanswered: 3 }, options)).toContain(
      "Unproved: more may rely on 3",
    );
  });

  it("is the same as Mermaid text", () => {
    const text = dependencyMermaid(program, card, { ...reliances, all: all.slice(0, 1) }, options.cautions)?.split(
      "\n",
    );
    expect(text?.slice(4)).toEqual([
      "  %% Fictional. Not for operation.",
      '  n1["1<br>GEN BREAKER: CLOSED"]',
      '  n2["2<br>GEN BREAKER: OPEN"]',
      "  n1 --> n2",
      "",
    ]);
  });
});

function overlap(a: PlacedBox, b: PlacedBox): boolean {
  return a.x < b.x + b.width && b.x < a.x + a.width && a.y < b.y + b.height && b.y < a.y + a.height;
}

function onEdge(box: PlacedBox, { x, y }: Point): boolean {
  const upright = Math.abs(x - box.x) < 0.01 || Math.abs(x - box.x - box.width) < 0.01;
  return upright && y >= box.y && y <= box.y + box.height;
}

function crosses(a: Point, b: Point, box: PlacedBox): boolean {
  return (
    Math.min(a.x, b.x) < box.x + box.width - 0.01 &&
    Math.max(a.x, b.x) > box.x + 0.01 &&
    Math.min(a.y, b.y) < box.y + box.height - 0.01 &&
    Math.max(a.y, b.y) > box.y + 0.01
  );
}

test("a step that only holds others, or leads elsewhere, has words and no name of a verb", () => {
  const { program, procedure } = weir([
    "crew: { one: First hand, two: Second hand }",
    "steps:",
    "  - decide:",
    "      - when: gate is open",
    "        then: [ set: { horn: on } ]",
    "      - otherwise: [ set: { horn: off } ]",
    "  - together:",
    "      one: [ set: { gate: open } ]",
    "      two: [ set: { supply: on } ]",
    "  - repeat: [ set: { horn: on } ]",
    "    times: 3",
    "  - if: horn is on",
    "    then: [ go-to: start ]",
  ]);
  const system = program.systems.get(procedure.system)!;
  const words = [...walkSteps(procedure.steps)].map((step) =>
    stepText(program, { system, numberOf: () => undefined }, step),
  );
  expect(words).toEqual(
    expect.arrayContaining([
      ["Decide: GATE is OPEN; otherwise"],
      ["At the same time"],
      ["Repeat 3 times"],
      ["If HORN is ON"],
      ["Go to: Start"],
    ]),
  );
});
