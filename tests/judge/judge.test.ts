import { expect, test } from "vitest";
import { check } from "../../src/pipeline.js";

const SYSTEM = "kind: system\ntitle: Plant (fictional)\ncontrols:\n  pump: { label: PUMP, positions: [off, on] }\n";
const PLACEHOLDER = "wording/placeholder";

interface Variation {
  readonly findings?: string;
  readonly card?: string;
  readonly steps?: string;
  readonly more?: Readonly<Record<string, string>>;
}

/** A project whose card has a line with a placeholder at step `call`, and what else a test adds. */
function reportOf({ findings = "", card = "", steps = "", more = {} }: Variation) {
  const files = {
    "project.yaml": `kind: project\nformat: 1\ntitle: Plant (fictional)\n${findings}`,
    "plant.yaml": SYSTEM,
    "start.yaml": `kind: procedure\ntitle: Start\ncategory: normal\n${card}steps:\n  - set: { pump: on }\n  - do: Call TODO\n    id: call\n${steps}`,
    ...more,
  };
  return check(Object.entries(files).map(([path, text]) => ({ path, text }))).report;
}

function codes({ findings }: ReturnType<typeof reportOf>): string[] {
  return findings.map(({ code, severity }) => `${severity} ${code}`);
}

const allowing = (more: string): string => `allow:\n  - { ${more}, because: The number is not known yet. }\n`;

test("without an allow the finding stands", () => {
  expect(codes(reportOf({}))).toEqual([`warning ${PLACEHOLDER}`]);
});

test.each([
  ["anywhere in the procedure", `finding: ${PLACEHOLDER}`],
  ["at its step", `finding: ${PLACEHOLDER}, step: call`],
])("an allow %s sets it apart, with its reason", (_, allow) => {
  const report = reportOf({ card: allowing(allow) });
  expect(codes(report)).toEqual([]);
  expect(report.allowed.map(({ finding, because }) => [finding.code, because])).toEqual([
    [PLACEHOLDER, "The number is not known yet."],
  ]);
});

test.each([
  ["at another step", `finding: ${PLACEHOLDER}, step: sign-off`, "  - sign: Engineer\n    id: sign-off\n"],
  ["of another code", "finding: wording/two-actions", ""],
  ["for another rule", `finding: ${PLACEHOLDER}, rule: dry`, ""],
])("an allow %s accepts nothing, and is itself found", (_, allow, steps) => {
  const rules = { "rules.yaml": "kind: rules\nrules:\n  - { id: dry, never: pump is off and pump is on }\n" };
  const found = codes(reportOf({ card: allowing(allow), steps, more: rules })).filter((code) => !code.includes("idle"));
  expect(found).toEqual(["warning allow/unused", `warning ${PLACEHOLDER}`]);
});

test("an allow of a code that there is not says which is near", () => {
  const [unused] = reportOf({ card: allowing("finding: wording/placeholders") }).findings;
  expect(unused).toMatchObject({ code: "allow/unused", help: ["did you mean `wording/placeholder`?"] });
});

test("what cannot be understood can be neither allowed nor softened", () => {
  const steps = "  - set: { pmup: on }\n";
  expect(codes(reportOf({ steps, card: allowing("finding: name/unknown") }))).toContain("error name/unknown");
  expect(codes(reportOf({ steps, findings: "findings: { name/unknown: off }\n" }))).toEqual([
    "error project/cannot-soften",
    "error name/unknown",
  ]);
});

test("an allow on a card that could not be proved is not called unused", () => {
  const steps = "  - set: { pmup: on }\n";
  expect(codes(reportOf({ steps, card: allowing("finding: order/when") }))).not.toContain("warning allow/unused");
});

test.each([
  ["off", []],
  ["info", [`info ${PLACEHOLDER}`]],
  ["error", [`error ${PLACEHOLDER}`]],
])("the project gives a code the level %s", (level, expected) => {
  expect(codes(reportOf({ findings: `findings: { ${PLACEHOLDER}: ${level} }\n` }))).toEqual(expected);
});

test("a level for a code that there is not is found, at the code", () => {
  const [unknown] = reportOf({ findings: "findings: { wording/placeholdr: off }\n" }).findings;
  expect(unknown).toMatchObject({ code: "project/unknown-code", help: ["did you mean `wording/placeholder`?"] });
  expect(unknown!.at.file.text.slice(unknown!.at.start, unknown!.at.end)).toBe("wording/placeholdr");
});

test("a card that performs a broken one, or is for a broken system, is left out of the proof, and why is said", () => {
  const broken = "kind: procedure\ntitle: Prime\ncategory: normal\nsteps:\n  - set: { pmup: on }\n";
  const performing = reportOf({ steps: "  - perform: prime\n", more: { "prime.yaml": broken } });
  expect(performing.leftOut).toEqual([
    { procedure: "prime", because: "its text has errors" },
    { procedure: "start", because: "the text of what it performs has errors (`prime.yaml`)" },
  ]);
  const system = reportOf({ more: { "plant.yaml": `${SYSTEM}  valve: { label: VALVE, positions: [open] }\n` } });
  expect(system.leftOut.map(({ because }) => because)).toEqual(["the text of its system `plant` has errors"]);
});
