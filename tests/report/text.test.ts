import { expect, test } from "vitest";
import type { Finding } from "../../src/diagnostics/finding.js";
import { renderText } from "../../src/report/text.js";
import type { SourceFile } from "../../src/source/file.js";
import { LOAD_TOO_EARLY, report, spanOf } from "./fixture.js";

const PLAIN = { colour: false, columns: 110, summary: false };
const ESCAPE = "\u001b";
const CONTEXT = { version: "0", kinds: [] };

function shown(finding: Finding, options: Partial<typeof PLAIN> = {}): string {
  return renderText(report([finding]), CONTEXT, { ...PLAIN, ...options });
}

test("a finding with two places and its story", () => {
  expect(shown(LOAD_TOO_EARLY)).toMatchInlineSnapshot(`
    "error[order/when]: the board can take load before \`warm-up-before-load\` allows it
       procedures/emergency-start.yaml:51:7
    51 |     - hold: { start-key: crank }
       |       ^^^^^^^^^^^^^^^^^^^^^^^^^^ starts the generator; it may be ready at any moment from here on
       rules/standing.yaml:9:11
     9 |   - { id: warm-up-before-load, require: (generator is ready) for 60 s, when: board }
       |           ------------------- needs (generator is ready) for 60 s when board
      how it happens
        start    GEN BREAKER closed (left so by the last watch); the rest may be anything
        step 1   CONTROL POWER guard closed    24 V on
        step 7   ENGINE held at CRANK          generator turning, then running
        then     the generator is ready        board live at once, after 0 s of 60 s    <- broken here
      help: \`verify\` the breaker open before step 7, or take it for granted in \`begins\`
      more: proofcard explain order/when
    "
  `);
});

function at(text: string, what: string, more: Partial<Finding> = {}): Finding {
  const file: SourceFile = { path: "a.yaml", text };
  return {
    code: "x/y",
    severity: "warning",
    message: "m",
    at: spanOf(file, what),
    labels: [],
    help: [],
    subject: {},
    ...more,
  };
}

/** The lines under the message and above the way out. */
function frame(finding: Finding, options: Partial<typeof PLAIN> = {}): string {
  return shown(finding, options).split("\n").slice(1, -2).join("\n");
}

test("two marks on one line share it", () => {
  const finding = at("set: { pump: on, pump: off }\n", "pump: off", { remark: "again" });
  const labels = [{ at: spanOf(finding.at.file, "pump"), text: "first here" }];
  expect(frame({ ...finding, labels })).toBe(
    [
      "  a.yaml:1:18",
      "1 | set: { pump: on, pump: off }",
      "  |                  ^^^^^^^^^ again",
      "  |        ---- first here",
    ].join("\n"),
  );
});

test("tabs are spelled out, so that the caret stands under its word", () => {
  expect(frame(at("a:\tb\tword\n", "word"))).toBe(["  a.yaml:1:6", "1 | a:  b   word", "  |         ^^^^"].join("\n"));
});

test("wide characters take two columns (Unicode UAX 11)", () => {
  expect(frame(at("label: 圧力 high\n", "high"))).toBe(
    ["  a.yaml:1:11", "1 | label: 圧力 high", "  |             ^^^^"].join("\n"),
  );
});

test("combining marks take none", () => {
  expect(frame(at("e\u0301t: word\n", "word"))).toBe(["  a.yaml:1:6", "1 | e\u0301t: word", "  |     ^^^^"].join("\n"));
});

test("a line that ends in CR LF, a lone CR or at the end of the file", () => {
  const lines = (text: string): string => frame(at(text, "word"));
  const expected = ["  a.yaml:2:1", "2 | word", "  | ^^^^"].join("\n");
  expect([lines("a\r\nword\r\nb"), lines("a\rword\rb"), lines("a\nword")]).toEqual([expected, expected, expected]);
});

test("an empty file and a place at its end", () => {
  const file: SourceFile = { path: "a.yaml", text: "" };
  expect(frame(at("", "", { at: { file, start: 0, end: 0 } }))).toBe(["  a.yaml:1:1", "1 |", "  | ^"].join("\n"));
});

test("of a span over several lines the first is shown", () => {
  expect(frame(at("- one:\n    two: 3\n", "one:\n    two"))).toBe(
    ["  a.yaml:1:3", "1 | - one:", "  |   ^^^^"].join("\n"),
  );
});

test("a long line is cut around what it shows", () => {
  const finding = at(`start ${"x".repeat(200)} word ${"y".repeat(200)}\n`, "word", { remark: "here" });
  expect(frame(finding, { columns: 60 })).toBe(
    ["  a.yaml:1:208", `1 | ...xxxxxxx word ${"y".repeat(37)}...`, "  |            ^^^^ here"].join("\n"),
  );
});

test("a remark with no room beside its caret goes below, broken at spaces", () => {
  const finding = at("0123456789 0123456789 word\n", "word", {
    remark: "this remark is longer than the room that is left",
  });
  expect(frame(finding, { columns: 60 })).toBe(
    [
      "  a.yaml:1:23",
      "1 | 0123456789 0123456789 word",
      "  |                       ^^^^",
      "  |                       this remark is longer than the",
      "  |                       room that is left",
    ].join("\n"),
  );
});

test("nothing in a file can steer the terminal", () => {
  const finding = at("title: \u001b[31mred \u202Egnp\n", "red", { message: "a title `\u001b[31m` is odd" });
  const text = shown(finding);
  expect(text).not.toContain("\u001b");
  expect(text).not.toContain("\u202e");
  expect(text).toContain("1 | title: \u241b[31mred \uFFFDgnp");
});

test("a long line of the story goes on under itself", () => {
  const story = [
    { when: "start", what: "GEN BREAKER CLOSED, PUMP ON, CROSSOVER CLOSED, HEATER OFF; the rest may be anything" },
  ];
  expect(
    frame(at("a: b\n", "b", { story }), { columns: 60 })
      .split("\n")
      .slice(-3),
  ).toEqual([
    "  how it happens",
    "    start   GEN BREAKER CLOSED, PUMP ON, CROSSOVER CLOSED,",
    "            HEATER OFF; the rest may be anything",
  ]);
});

test("tails stand behind the message", () => {
  expect(shown(at("a: b\n", "b", { tails: ["Anser", "Brent"] }))).toContain("m (on Anser, Brent)\n");
});

test("colour changes nothing but colour", () => {
  const coloured = shown(LOAD_TOO_EARLY, { colour: true });
  expect(coloured).toContain("\u001b[");
  expect(coloured.replaceAll(new RegExp(`${ESCAPE}\\[\\d+m`, "g"), "")).toBe(shown(LOAD_TOO_EARLY));
});

test("the summary counts, says what was proved over how much, what was left out, and cautions", () => {
  const proofs = [
    {
      procedure: "emergency-start",
      tails: ["Anser", "Brent"],
      rules: [
        { rule: "a", verdict: "holds" as const },
        { rule: "b", verdict: "violated" as const },
        { rule: "c", verdict: "unproved" as const },
      ],
      startsLog10: 6.02,
    },
    { procedure: "load", tails: ["Anser"], rules: [{ rule: "a", verdict: "holds" as const }], startsLog10: 2 },
  ];
  const whole = report([LOAD_TOO_EARLY], { proofs, leftOut: [{ procedure: "stop", because: "its text has errors" }] });
  const text = renderText(whole, { ...CONTEXT, milliseconds: 412 }, { ...PLAIN, summary: true });
  expect(text.split("\n\n").at(-1)).toMatchInlineSnapshot(`
    "1 error.
    Over the model as written, 2 procedures on 2 tails against 3 rules: 2 of 4 proved, 1 broken, 1 unproved; from up to 10^6 starts; 0.4 s.
    Not proved: \`stop\`, its text has errors.
    Check against the approved manuals and the local rules; have it approved by those licensed to do so.
    "
  `);
});
