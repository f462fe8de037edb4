import { readFileSync } from "node:fs";
import { Ajv } from "ajv";
import { beforeAll, describe, expect, test } from "vitest";
import { coverageOf } from "../../src/cli/coverage-of.js";
import { coveragePage } from "../../src/emit/coverage/page.js";
import { check } from "../../src/pipeline.js";
import type { CoverageReport } from "../../src/report/coverage/coverage-report.js";
import { renderCoverageJson } from "../../src/report/coverage/json.js";
import { renderCoverageText } from "../../src/report/coverage/text.js";
import { CAUTION } from "../../src/report/report.js";

const SYSTEM = `
kind: system
title: Ballast (fictional)
controls:
  power: { label: POWER, positions: [off, on] }
  valve: { label: VALVE, positions: [shut, half, open] }
  pump: { label: PUMP, sides: { port: "1", starboard: "2" }, positions: [off, on] }
  horn-test: { label: TEST, positions: [rest, test], springs: { test: rest } }
equipment:
  main:
    label: Main pump
    states: [stopped, running, tripped]
    shown: ammeter
    changes:
      - { from: stopped, to: running, when: power is on and pump.port is on }
      - { from: running, to: stopped, when: power is off or pump.port is off }
      - { from: running, to: tripped, when: anytime }
lights:
  run: { label: RUN, colour: green, lit-when: power is on and (horn-test is test or main is running) }
  trip: { label: TRIP, colour: red, lit-when: power is on and (horn-test is test or main is tripped) }
light-sets:
  panel: [run, trip]
`;

const CARD = `
kind: procedure
id: start
title: Start the ballast pumps
category: normal
begins: [main is stopped, power is off, all pump is off]
ends: [valve is open, all pump is on, main is running]
covers: [panel]
steps:
  - set: { power: on }
  - hold: { horn-test: test }
    while:
      - observe: panel
        lit: [run, trip]
  - observe: panel
    lit: none
  - set: { valve: open }
  - set: { pump: on }
  - observe: panel
    lit: [run]
`;

const FILES = {
  "project.yaml": "kind: project\nformat: 1\ntitle: Ballast cards\nsources: ['*.yaml']\n",
  "ballast.yaml": SYSTEM,
  "rules.yaml": `
kind: rules
rules:
  - { id: valve-before-pump, require: valve is not shut, when: main is running }
`,
  "start.yaml": CARD,
};

function reportOf(files: Readonly<Record<string, string>>, deadline?: () => boolean): CoverageReport {
  const checked = check(Object.entries(files).map(([path, text]) => ({ path, text })));
  return coverageOf(checked, deadline ? { deadline } : {});
}

let report: CoverageReport;
beforeAll(() => {
  report = reportOf(FILES);
});

function slip(kind: string, step: string, detail?: string) {
  return report.procedures[0]!.slips!.rows.find(
    ({ slip }) =>
      slip.kind === kind &&
      slip.step === step &&
      (detail === undefined || [slip.detail, slip.control].includes(detail)),
  );
}

describe("what a card catches", () => {
  test("each light is seen lit and out where the card looks at it", () => {
    const { lights } = report.procedures[0]!;
    expect(lights.filter(({ light }) => light === "trip").map(({ step, lit, out }) => [step, lit, out])).toEqual([
      ["observe-panel", "every", "never"],
      ["observe-panel-2", "never", "every"],
      ["observe-panel-3", "never", "every"],
    ]);
  });

  test("a lamp that is dark or always lit is always revealed where the card sees it both ways", () => {
    const rows = report.procedures[0]!.faults.rows.filter(({ fault }) => fault.kind === "light");
    expect(rows.map(({ fault, revealed, first }) => [fault.id, revealed, first])).toEqual([
      ["light run dark", "always", "observe-panel"],
      ["light run lit", "always", "observe-panel-2"],
      ["light trip dark", "always", "observe-panel"],
      ["light trip lit", "always", "observe-panel-2"],
    ]);
  });

  test("a slip is silent where a rule or a promise is broken and nothing shows it", () => {
    expect(slip("left out", "set-valve")).toMatchObject({
      verdict: "silent",
      breaks: { kind: "rule", what: "valve-before-pump" },
    });
    expect(slip("beside", "set-valve", "half")).toMatchObject({
      verdict: "silent",
      breaks: { kind: "promise", what: "valve is open" },
    });
    expect(slip("one side", "set-pump", "pump.starboard")).toMatchObject({ verdict: "silent" });
    expect(slip("left out", "set-valve")?.breaks?.story.at(-1)).toMatchObject({ broken: true });
  });

  test("a slip is caught by the list that is wrong, and harmless where nothing is", () => {
    expect(slip("left out", "set-power")).toMatchObject({ verdict: "caught", caughtAt: "observe-panel" });
    expect(slip("one side", "set-pump", "pump.port")).toMatchObject({ verdict: "caught", caughtAt: "observe-panel-3" });
    expect(slip("left out", "observe-panel-2")).toMatchObject({ verdict: "harmless" });
  });

  test("a failure is answered by what shows it, and unanswered where nothing is looked at any more", () => {
    const rows = report.procedures[0]!.failures!.map(({ step, verdict, answeredBy }) => [step, verdict, answeredBy]);
    expect(rows).toEqual([
      ["set-pump", "answered", "observe-panel-3"],
      ["observe-panel-3", "unanswered", undefined],
    ]);
  });

  test("the estimate says that its figure is from memory, and takes the project's instead", () => {
    expect(report.procedures[0]!.slips!.estimate).toMatchObject({ from: "default", perLine: 0.001 });
    const own = reportOf({
      ...FILES,
      "project.yaml": `${FILES["project.yaml"]}omission: { short: 0.01, long: 0.02 }\n`,
    });
    const { estimate } = own.procedures[0]!.slips!;
    expect(estimate).toMatchObject({ from: "project", perLine: 0.01 });
    expect(estimate.chance).toBeCloseTo(1 - 0.99 ** estimate.silent, 12);
  });

  test("a procedure with errors is left out and told", () => {
    const wrong = reportOf({ ...FILES, "start.yaml": CARD.replace("lit: [run]\n", "lit: [trip]\n") });
    expect(wrong.procedures).toEqual([]);
    expect(wrong.leftOut).toEqual([{ procedure: "start", because: "it has 2 errors" }]);
  });

  test("a limit gives unproved rows, and no verdict", () => {
    const { faults, slips } = reportOf(FILES, () => true).procedures[0]!;
    expect(faults.rows.every(({ revealed }) => revealed === "unproved")).toBe(true);
    expect(slips!.rows.every(({ verdict }) => verdict === "unproved")).toBe(true);
  });
});

describe("how it is printed", () => {
  test("the tables fit 100 columns, with the caution", () => {
    const text = renderCoverageText(report, { colour: false, columns: 200, all: true });
    expect(text.split("\n").filter((line) => line.length > 100)).toEqual([CAUTION].filter((line) => line.length > 100));
    expect(text).toContain(CAUTION);
    expect(text).toContain("a default from memory");
  });

  test("JSON is as its schema says, and the same twice", () => {
    const schema = JSON.parse(readFileSync(new URL("../../schema/coverage.schema.json", import.meta.url), "utf8"));
    const text = renderCoverageJson(report, "1.2.3");
    const validate = new Ajv({ strict: false }).compile(schema);
    validate(JSON.parse(text));
    expect(validate.errors ?? []).toEqual([]);
    expect(renderCoverageJson(reportOf(FILES), "1.2.3")).toBe(text);
    const broken = JSON.parse(text);
    broken.procedures[0].slips.rows[0].verdict = "fine";
    expect(validate(broken)).toBe(false);
  });

  test("the page stands alone: a policy that lets in nothing from outside, no script, texts escaped", () => {
    const page = coveragePage(report);
    expect(page).toContain("default-src &#39;none&#39;");
    expect(page).not.toMatch(/<script|https?:|src=|url\(/);
    expect(page.match(/<h2>/g)).toHaveLength(1);
    expect(page).toContain(CAUTION);
    const named = reportOf({ ...FILES, "start.yaml": CARD.replace("Start the ballast pumps", "Start <b> the pumps") });
    expect(coveragePage(named)).toContain("Start &lt;b&gt; the pumps");
  });
});
