import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { Ajv } from "ajv";
import type { Log } from "sarif";
import { expect, test } from "vitest";
import { CATALOGUE } from "../../src/catalogue.js";
import type { Finding } from "../../src/diagnostics/finding.js";
import { renderJson } from "../../src/report/json.js";
import type { Report } from "../../src/report/report.js";
import { renderSarif } from "../../src/report/sarif.js";
import { LOAD_TOO_EARLY, report, spanOf } from "./fixture.js";

const CONTEXT = { version: "1.2.3", kinds: CATALOGUE };

const file = { path: "procedures/zwei säle #1.yaml", text: "a: b\nset: { pmup: on }\n" };
const UNKNOWN_NAME: Finding = {
  code: "name/unknown",
  severity: "warning",
  message: "there is no `pmup`",
  at: spanOf(file, "pmup"),
  labels: [],
  help: ["did you mean `pump`?"],
  edits: [{ at: spanOf(file, "pmup"), text: "pump" }],
  subject: {},
  tails: ["Anser"],
};

const PROOF = {
  procedure: "emergency-start",
  tails: ["Anser", "Brent"],
  rules: [{ rule: "warm-up-before-load", verdict: "violated" as const }],
  startsLog10: 6.3,
};

const WHOLE = report([LOAD_TOO_EARLY, UNKNOWN_NAME, { ...UNKNOWN_NAME, at: spanOf(file, "set") }], {
  base: "cards/",
  proofs: [PROOF],
  leftOut: [{ procedure: "stop", because: "its text has errors" }],
  allowed: [{ finding: LOAD_TOO_EARLY, because: "The board is dead on this ship." }],
});

/** From the package @microsoft/jest-sarif, which carries the schema of OASIS SARIF 2.1.0 (rtm.5; draft-04, of which it uses what draft-07 has too). */
function sarifSchema(): object {
  const path = createRequire(import.meta.url).resolve("@microsoft/jest-sarif");
  const text = readFileSync(path.replace(/index\.js$/, "schemas/sarif-2.1.0-rtm.5.json"), "utf8");
  const { $schema: _, id: __, ...schema } = JSON.parse(text);
  return schema;
}

const formats = {
  uri: /^[a-z][a-z0-9+.-]*:[^\s<>"{}|\\^`]*$/i,
  "uri-reference": /^[^\s<>"{}|\\^`]*$/,
  "date-time": true,
} as const;

function complaints(schema: object, text: string): unknown {
  const validate = new Ajv({ strict: false, unicodeRegExp: false, formats }).compile(schema);
  validate(JSON.parse(text));
  return validate.errors ?? [];
}

const reportSchema = JSON.parse(readFileSync(new URL("../../schema/report.schema.json", import.meta.url), "utf8"));

test.each<[string, Report]>([
  ["a full report", WHOLE],
  ["an empty one", report([])],
])("JSON of %s is as its schema says", (_, one) => {
  expect(complaints(reportSchema, renderJson(one, CONTEXT))).toEqual([]);
});

test.each<[string, string[], unknown]>([
  ["a line that is not counted from 1", ["findings", "0", "at", "start", "line"], 0],
  ["a level that is none", ["findings", "1", "severity"], "fatal"],
  ["a key that it does not know", ["findings", "1", "extra"], true],
  ["an allowed finding without its reason", ["allowed", "0", "because"], undefined],
  ["a verdict that is none", ["proofs", "0", "rules", "0", "verdict"], "safe"],
])("the schema of the report refuses %s", (_, path, value) => {
  const spoiled = JSON.parse(renderJson(WHOLE, CONTEXT));
  const holder = path.slice(0, -1).reduce((part, key) => part[key], spoiled);
  holder[path.at(-1)!] = value;
  expect(complaints(reportSchema, JSON.stringify(spoiled))).not.toEqual([]);
});

test("SARIF is valid by the OASIS schema", () => {
  expect(complaints(sarifSchema(), renderSarif(WHOLE, CONTEXT))).toEqual([]);
  expect(complaints(sarifSchema(), renderSarif(report([]), CONTEXT))).toEqual([]);
});

test("the SARIF schema as loaded here refuses a wrong log", () => {
  const log: Log = JSON.parse(renderSarif(WHOLE, CONTEXT));
  expect(complaints(sarifSchema(), JSON.stringify({ ...log, version: "2.0.0" }))).not.toEqual([]);
  Object.assign(log.runs[0]!.results![0]!, { level: "fatal" });
  expect(complaints(sarifSchema(), JSON.stringify(log))).not.toEqual([]);
});

test("the story is a code flow, with the place of each line that has one", () => {
  const [first] = logOf(WHOLE).runs[0]!.results!;
  const flow = first!.codeFlows![0]!.threadFlows[0]!.locations;
  expect(flow.map(({ location }) => location?.message?.text)).toEqual([
    "start: GEN BREAKER closed (left so by the last watch); the rest may be anything",
    "step 1: CONTROL POWER guard closed; 24 V on",
    "step 7: ENGINE held at CRANK; generator turning, then running",
    "then: the generator is ready; board live at once, after 0 s of 60 s",
  ]);
  expect(flow[2]!.location!.physicalLocation).toEqual({
    artifactLocation: { uri: "cards/procedures/emergency-start.yaml" },
    region: { startLine: 51, startColumn: 15, endLine: 51, endColumn: 24 },
  });
  expect(flow.map(({ importance }) => importance)).toEqual(["important", "important", "important", "essential"]);
});

test("fingerprints come from what a finding is about, and stay when lines are added above", () => {
  const moved = { ...file, text: `# new\n${file.text}` };
  const down = { ...UNKNOWN_NAME, at: spanOf(moved, "pmup") };
  expect(prints(report([LOAD_TOO_EARLY]))).toEqual([
    "order/when|procedure=emergency-start|step=crank|rule=warm-up-before-load",
  ]);
  expect(prints(report([down]))).toEqual(prints(report([UNKNOWN_NAME])));
});

test("each finding has a fingerprint of its own", () => {
  const all = prints(WHOLE);
  expect(new Set(all).size).toBe(all.length);
});

test("an allowed finding is suppressed in the source, with the reason", () => {
  const suppressed = logOf(WHOLE).runs[0]!.results!.filter(({ suppressions }) => suppressions);
  expect(suppressed.map(({ suppressions }) => suppressions)).toEqual([
    [{ kind: "inSource", justification: "The board is dead on this ship." }],
  ]);
});

test("paths in SARIF are relative references of RFC 3986", () => {
  const uri = logOf(WHOLE).runs[0]!.results![1]!.locations![0]!.physicalLocation!.artifactLocation!.uri;
  expect(uri).toBe("cards/procedures/zwei%20s%C3%A4le%20%231.yaml");
});

test("both formats are the same bytes each time, whatever the clock says", () => {
  const now = { ...CONTEXT, milliseconds: 1 };
  const later = { ...CONTEXT, milliseconds: 2 };
  expect(renderJson(WHOLE, now)).toBe(renderJson(WHOLE, later));
  expect(renderSarif(WHOLE, now)).toBe(renderSarif(WHOLE, later));
});

function logOf(one: Report): Log {
  return JSON.parse(renderSarif(one, CONTEXT));
}

function prints(one: Report): unknown[] {
  return logOf(one).runs[0]!.results!.map(({ partialFingerprints }) => partialFingerprints?.["proofcardFinding/v1"]);
}
