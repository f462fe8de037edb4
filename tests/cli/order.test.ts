import { readFileSync } from "node:fs";
import { join } from "node:path";
import { Ajv } from "ajv";
import { describe, expect, test } from "vitest";
import { filesIn, folderWith, proofcard, ROOT, SOUND } from "./run.js";

const YARD = [
  "kind: system",
  "title: Yard (fictional)",
  "controls:",
  "  a: { label: ALPHA, panel: left, positions: [off, on] }",
  "  b: { label: BRAVO, panel: right, positions: [off, on] }",
  "  c: { label: CHARLIE, panel: left, positions: [off, on] }",
  "  d: { label: DELTA, panel: right, positions: [off, on] }",
  "layout:",
  "  left: { title: LEFT, area: yard, at: [0, 0], size: [100, 100], places: { a: [20, 20], c: [80, 80] } }",
  "  right: { title: RIGHT, area: yard, at: [200, 0], size: [100, 100], places: { b: [20, 20], d: [80, 80] } }",
  "",
].join("\n");

function yard(steps: readonly string[], rules: readonly string[] = []): Record<string, string> {
  return {
    "project.yaml": 'kind: project\nformat: 1\ntitle: Yard (fictional)\nsources: ["*.yaml"]\n',
    "yard.yaml": YARD,
    ...(rules.length > 0 && { "rules.yaml": ["kind: rules", "rules:", ...rules, ""].join("\n") }),
    "work.yaml": [
      "kind: procedure",
      "title: Work the yard",
      "category: normal",
      "begins: [a is off, b is off, c is off, d is off]",
      "revision: { number: 1, date: 2026-11-01, effective: 2026-11-20, by: Yard office }",
      "steps:",
      ...steps.map((step) => `  - ${step}`),
      "",
    ].join("\n"),
  };
}

const ZIGZAG = ["set: { a: on }", "set: { b: on }", "set: { c: on }", "set: { d: on }"];

function json(files: Record<string, string>, more: readonly string[] = []) {
  const ran = proofcard(folderWith(files), ["order", "work", "--format", "json", ...more]);
  expect(ran.status, ran.err).toBe(0);
  const report = JSON.parse(ran.out);
  const numbers = new Map(report.lines.map(({ name, number }: { name: string; number: string }) => [name, number]));
  return { report, order: report.order.map((name: string) => numbers.get(name)).join(" ") };
}

describe("order", () => {
  test("does one panel before the other, says so in words, and changes no file", () => {
    const folder = folderWith(yard(ZIGZAG));
    const before = filesIn(folder);
    const ran = proofcard(folder, ["order", "work"]);
    expect(ran).toMatchObject({ status: 0, err: "" });
    expect(filesIn(folder)).toEqual(before);
    // Places by hand: (20,20), (220,20), (80,80), (280,80); 200 + 152.3 + 200 now, then 84.9 + 152.3 + 84.9.
    expect(ran.out).toContain("now   3 moves between panels (2 back to one left before), 552 mm");
    expect(ran.out).toContain("then  1 move between panels, 322 mm");
    expect(ran.out).toContain("Optimal: no order");
    expect(ran.out).toContain("Nothing was changed.");
    expect(ran.out).toContain("have it approved by those licensed to do so.");
  });

  test("asks the prover: what rules keep in order stays so, with the code of what would be found", () => {
    // The left panel first would set C before B, the right one first B before A: two moves between panels are the least.
    const rules = [
      "  - { id: a-before-b, require: a is on, when: b is on, because: It jams. }",
      "  - { id: b-before-c, require: b is on, when: c is on, because: It jams. }",
    ];
    const { report, order } = json(yard(ZIGZAG, rules));
    expect(order).toBe("1 2 4 3");
    expect(report.ways[0]).toMatchObject({ before: { moves: 3 }, after: { moves: 2 } });
    expect(report.ties.map(({ code }: { code: string }) => code)).toEqual(["order/when", "order/when"]);
    expect(report.optimal).toBe("all-tried");
    expect(report.tried).toBeGreaterThan(1);
  });

  test("says that the present order is the shortest when it is", () => {
    const shortest = ["set: { a: on }", "set: { c: on }", "set: { b: on }", "set: { d: on }"];
    const ran = proofcard(folderWith(yard(shortest)), ["order", "work"]);
    expect(ran).toMatchObject({ status: 0, err: "" });
    expect(ran.out).toContain("The present order is already the shortest.");
    expect(ran.out).not.toContain("then  ");
  });

  test("claims nothing about lengths where no place is known", () => {
    const files = yard(ZIGZAG.slice(0, 2));
    const unplaced = YARD.slice(0, YARD.indexOf("layout:")).replace(/, panel: \w+/g, "");
    const ran = proofcard(folderWith({ ...files, "yard.yaml": unplaced }), ["order", "work"]);
    expect(ran.out).toContain("How long they are is not known, since places are missing.");
    expect(ran.out).not.toContain("already the shortest");
  });

  // O4 of the standards list: the most critical items come as early as they can, and that outweighs the flow (NASA CR-177549, 10).
  test("puts critical lines before any saving of way", () => {
    const steps = [...ZIGZAG.slice(0, 3), "{ set: { d: on }, critical: true }"];
    expect(json(yard(steps)).order.split(" ")[0]).toBe("4");
  });

  test("leaves waits where they are, and says why", () => {
    const { report, order } = json(yard([...ZIGZAG.slice(0, 2), "wait: 10 s", ...ZIGZAG.slice(2)]));
    expect(order.split(" ")[2]).toBe("3");
    expect(report.lines[2].fixed).toBe("a wait is for what stands before it");
  });

  test("moves sections as a whole where that is shorter, and what is in them within them", () => {
    const section = (title: string, ...steps: string[]) =>
      [`section: ${title}`, "steps:", ...steps.map((step) => `  - ${step}`)].join("\n    ");
    const steps = [
      section("First", "set: { a: on }", "set: { c: on }"),
      section("Second", "set: { d: on }", "set: { b: on }"),
      section("Third", "set: { c: off }"),
    ];
    // By hand: c off must follow c on, so Third stands behind First; b and d after both: one move between panels, (280, 80) near c.
    const { report, order } = json(yard(steps));
    expect(order).toBe("1 2 5 4 3");
    expect(report.ways[0]).toMatchObject({ before: { moves: 2 }, after: { moves: 1 } });
    expect(report.sections.map(({ title, fixed }: { title: string; fixed?: string }) => [title, fixed])).toEqual([
      ["First", undefined],
      ["Second", undefined],
      ["Third", undefined],
    ]);
    expect(report.optimal).toBe("all-tried");
  });

  test("says of a section that stays why it does", () => {
    const waits = ["section: First", "steps:", "  - set: { a: on }", "  - wait: 10 s"].join("\n    ");
    const { report } = json(yard([waits, ...ZIGZAG.slice(1)]));
    expect(report.sections).toMatchObject([{ title: "First", fixed: "2 in it is not moved" }]);
  });

  test("prints JSON by its schema", () => {
    const schema = JSON.parse(readFileSync(join(ROOT, "schema", "order.schema.json"), "utf8"));
    const validate = new Ajv({ strict: true }).compile(schema);
    for (const steps of [ZIGZAG, ["do: Look about"], [...ZIGZAG.slice(0, 2), "wait: 10 s"]]) {
      expect(validate(json(yard(steps)).report), JSON.stringify(validate.errors)).toBe(true);
    }
  });

  test("a name that no procedure has is status 2, with the nearest one", () => {
    const ran = proofcard(folderWith(SOUND), ["order", "stort"]);
    expect(ran).toMatchObject({ status: 2, out: "" });
    expect(ran.err).toContain("did you mean `start`?");
  });

  test("what is wrong as the card stands is told first, with status 1", () => {
    const rules = ["  - { id: b-first, require: b is on, when: a is on, because: It jams. }"];
    const ran = proofcard(folderWith(yard(ZIGZAG, rules)), ["order", "work"]);
    expect(ran).toMatchObject({ status: 1, out: "" });
    expect(ran.err).toContain("order/when");
    expect(ran.err).toContain("No order was looked for");
  });

  test("when the time is up nothing is claimed, with status 1", () => {
    const ran = proofcard(folderWith(yard(ZIGZAG)), ["order", "work", "--time-limit", "0.000001"]);
    expect(ran.status).toBe(1);
    expect(ran.out + ran.err).toMatch(/unproved|time was up/);
    expect(ran.out).not.toContain("Optimal");
  });
});
