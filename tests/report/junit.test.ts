import { parse, type TestSuites } from "junit2json";
import { expect, test } from "vitest";
import type { Finding } from "../../src/diagnostics/finding.js";
import { renderJunit } from "../../src/report/junit.js";
import type { Report } from "../../src/report/report.js";
import { LOAD_TOO_EARLY, report, spanOf } from "./fixture.js";

// Read back by junit2json, a reader that shares nothing with the writer.

const file = { path: "procedures/säle.yaml", text: "a: b\nset: { pmup: on }\n" };
const MILD: Finding = {
  code: "name/unknown",
  severity: "warning",
  message: 'there is no `pmup` in <"all"> & more\u0007\ud800',
  at: spanOf(file, "pmup"),
  labels: [],
  help: [],
  subject: {},
};
const UNPROVED: Finding = {
  ...MILD,
  code: "limit/unproved",
  message: "`stop` is not proved",
  subject: { procedure: "emergency-start" },
};
const PROOF: Report["proofs"][number] = {
  procedure: "emergency-start",
  tails: [""],
  rules: [
    { rule: "warm-up-before-load", verdict: "violated" },
    { rule: "pumps-off-before-power", verdict: "holds" },
  ],
  startsLog10: 3,
};
const LEFT_OUT = [{ procedure: "stop", because: "its text has errors" }];
const WHOLE = report([LOAD_TOO_EARLY, MILD, UNPROVED], { base: "cards/", proofs: [PROOF], leftOut: LEFT_OUT });

async function read(one: Report, failOn: "error" | "warning" = "error"): Promise<TestSuites> {
  return (await parse(renderJunit(one, { failOn, unproved: "limit/unproved" }))) as TestSuites;
}

test("a suite for each procedure and for each file with findings of its own; a case for each rule", async () => {
  const { name, tests, failures, errors, testsuite } = await read(WHOLE);
  expect({ name, tests, failures, errors }).toEqual({ name: "proofcard: RV Anser", tests: 5, failures: 1, errors: 1 });
  const cases = testsuite!.map((suite) => [suite.name, ...suite.testcase!.map((one) => one.name)]);
  expect(cases).toEqual([
    [
      "emergency-start",
      "rule warm-up-before-load",
      "rule pumps-off-before-power",
      "limit/unproved|procedure=emergency-start",
    ],
    ["procedures/säle.yaml", "name/unknown|procedures/säle.yaml|set: { pmup: on }"],
    ["stop", "proof"],
  ]);
});

test("what is broken fails with the whole finding as text, the story in it", async () => {
  const [broken, kept] = (await read(WHOLE)).testsuite![0]!.testcase!;
  expect(broken!.failure).toHaveLength(1);
  expect(broken!.failure![0]).toMatchObject({ type: "order/when", message: LOAD_TOO_EARLY.message });
  expect(broken!.failure![0]!.inner).toContain("ENGINE held at CRANK");
  expect(broken!.failure![0]!.inner).toContain("cards/procedures/emergency-start.yaml:51:7");
  expect(kept).not.toHaveProperty("failure");
});

test("what is unproved is an error at any level, what was not tried is skipped, and says why", async () => {
  const { testsuite } = await read(WHOLE);
  expect(testsuite![0]!.testcase![2]!.error).toMatchObject([{ type: "limit/unproved" }]);
  expect(testsuite![2]!.testcase![0]!.skipped).toEqual([{ message: "not proved: its text has errors" }]);
  expect(testsuite![2]!.skipped).toBe(1);
});

test("a finding below the failing level passes and is told; at that level it fails", async () => {
  const mild = (await read(WHOLE)).testsuite![1]!.testcase![0]!;
  expect(mild).not.toHaveProperty("failure");
  expect(mild["system-out"]!.join("")).toContain("name/unknown");
  expect((await read(WHOLE, "warning")).testsuite![1]!.testcase![0]!.failure).toHaveLength(1);
});

test("a rule whose finding is allowed passes with the reason; one whose finding is turned off says so", async () => {
  const allowed = [{ finding: LOAD_TOO_EARLY, because: "The board is dead on this ship." }];
  const accepted = (await read(report([], { proofs: [PROOF], allowed }))).testsuite![0]!.testcase!;
  expect(accepted[0]).not.toHaveProperty("failure");
  expect(accepted[0]!["system-out"]!.join("")).toContain("because The board is dead on this ship.");
  const off = (await read(report([], { proofs: [PROOF] }))).testsuite![0]!.testcase!;
  expect(off[0]!["system-out"]!.join("")).toContain("violated; the project turns its finding off");
});

test("marks of XML, and what XML 1.0 has no place for, come back as text", async () => {
  const { failure } = (await read(WHOLE, "warning")).testsuite![1]!.testcase![0]!;
  expect(failure![0]!.message).toBe('there is no `pmup` in <"all"> & more\uFFFD\uFFFD');
});

test("every suite carries the caution", async () => {
  for (const suite of (await read(WHOLE)).testsuite!)
    expect(suite["system-out"]!.join("")).toContain("Check against the approved manuals");
});

/** Elements with the attributes and the parents that the xUnit plugin of Jenkins has for them in its junit-10.xsd, as far as we write any. */
const ALLOWED: Readonly<Record<string, readonly [attributes: readonly string[], within: readonly string[]]>> = {
  testsuites: [["name", "tests", "failures", "errors"], [""]],
  testsuite: [["name", "file", "tests", "failures", "errors", "skipped"], ["testsuites"]],
  testcase: [["classname", "name"], ["testsuite"]],
  failure: [["type", "message"], ["testcase"]],
  error: [["type", "message"], ["testcase"]],
  skipped: [["message"], ["testcase"]],
  "system-out": [[], ["testcase", "testsuite"]],
};

test("every element and attribute is one that build servers know, in its place", () => {
  const xml = renderJunit(WHOLE, { failOn: "error", unproved: "limit/unproved" }).replace(/^<\?xml[^>]*\?>\n/, "");
  const open: string[] = [];
  const seen = new Set<string>();
  for (const [, closing, name = "", attributes = "", empty] of xml.matchAll(
    /<(\/?)([\w-]+)((?:\s[\w-]+="[^"<]*")*)(\/?)>/g,
  )) {
    if (closing) {
      expect(open.pop()).toBe(name);
      continue;
    }
    const [known, within] = ALLOWED[name] ?? [[], []];
    expect(within).toContain(open.at(-1) ?? "");
    const given = [...attributes.matchAll(/\s([\w-]+)=/g)].map(([, attribute]) => attribute!);
    expect(given.filter((attribute) => !known.includes(attribute))).toEqual([]);
    seen.add(name);
    if (!empty) open.push(name);
  }
  expect(open).toEqual([]);
  expect([...seen].sort()).toEqual(Object.keys(ALLOWED).sort());
});
