import { expect, test } from "vitest";
import { check } from "../../src/pipeline.js";

const SYSTEM = `kind: system
title: Lighthouse on Gull Stack (fictional)
controls:
  lamp: { label: LAMP, positions: [off, on] }
  horn: { label: HORN, positions: [rest, sound], springs: { sound: rest }, duty: { on: 10 s } }
lights:
  lit: { label: LIT, colour: green, lit-when: lamp is on }
`;

test("what a performed procedure's own run reports is not repeated by those who perform it", () => {
  const inner = "  - observe: [lit]\n    lit: [lit]";
  expect(found({ "outer.yaml": card("  - perform: inner"), "inner.yaml": card(inner, "", "Look") })).toEqual([
    "observe/missing inner observe-lit",
  ]);
});

test("what is wrong only where it is performed is told of the performer", () => {
  const outer = "  - set: { lamp: off }\n  - perform: inner";
  const inner = "  - check: lamp is on\n    if-not: { set-aside: Light it. }\n  - observe: [lit]\n    lit: [lit]";
  const files = { "outer.yaml": card(outer), "inner.yaml": card(inner, "begins: [lamp is on]\n", "Look") };
  expect(found(files)).toContain("flow/begins outer perform-inner");
});

const TWICE = "  - perform: blast\n  - set: { lamp: off }\n  - perform: blast";

test("a part has no run of its own: its lines are told by the procedure, and once", () => {
  const part = `parts:
  blast:
    - hold: { horn: sound }
      for: 15 s
    - set: { lamp: on }
    - check: lamp is on
      if-not: { set-aside: Light it. }
`;
  expect(found({ "outer.yaml": card(TWICE) + part })).toEqual([
    "duty/on outer blast:hold-horn",
    "flow/never-taken outer blast:check-lamp-on",
  ]);
});

test("a line of a part is of use if it is wherever the part is performed", () => {
  const part = "parts:\n  blast:\n    - check: lamp is on\n      if-not:\n        - set: { lamp: on }\n";
  expect(found({ "outer.yaml": card(`  - set: { lamp: on }\n${TWICE}`) + part })).toEqual([]);
});

test("a hold to which no path comes is not too long", () => {
  const steps =
    "  - verify: { lamp: on }\n  - if: lamp is off\n    then:\n      - hold: { horn: sound }\n        for: 15 s";
  expect(found({ "outer.yaml": card(steps) })).toEqual(["flow/never-reached outer hold-horn"]);
});

function card(steps: string, head = "", title = "Sound the horn"): string {
  return `kind: procedure\ntitle: ${title}\ncategory: normal\n${head}steps:\n${steps}\n`;
}

function found(files: Readonly<Record<string, string>>): readonly string[] {
  const all = Object.entries({ "plant.yaml": SYSTEM, ...files }).map(([path, text]) => ({ path, text }));
  return check(all).report.findings.map(({ code, subject }) => `${code} ${subject.procedure} ${subject.step}`);
}
