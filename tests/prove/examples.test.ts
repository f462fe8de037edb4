import { describe, expect, test } from "vitest";
import type { Finding } from "../../src/diagnostics/finding.js";
import { check } from "../../src/pipeline.js";
import { EXAMPLES } from "../../src/prove/examples.js";
import { PROVE_KINDS, UNPROVED } from "../../src/prove/kinds.js";

test("every kind of the prover but a limit has an example, and no example is left over", () => {
  const codes = PROVE_KINDS.filter((kind) => kind !== UNPROVED).map(({ code }) => code);
  expect([...EXAMPLES.keys()].sort()).toEqual(codes.sort());
});

/** Where the caret of each bad example stands, and the last line of its story: what the crew sees go wrong. */
const TOLD: Readonly<Record<string, readonly [caret: string, last?: string]>> = {
  "order/never": ["set: { upper-gate: open }", "so: `lower-gate is open and upper-gate is open`"],
  "order/always": ["set: { upper-gate: open }", "so: `upper-gate is shut or sluice is shut` no longer"],
  "order/when": ["set: { gas: on }", "step 1: GAS set ON"],
  "order/while": ["set: { stirrer: off }", "step 4: STIRRER set OFF"],
  "order/before": ["set: { gas: on }", "step 1: GAS set ON"],
  "order/after": ["set-aside: Call the lock keeper.", "step 2a: set aside without `sluice is shut`"],
  "order/within": ["wait: 30 s", "step 2: by the stated times more than 10 s without `igniter is spark`"],
  "order/at-most": ["press: { igniter: spark }", "step 1a: IGNITER pressed to SPARK"],
  "order/already-so": ["no-gas-into-a-shut-flue"],
  "order/idle": ["flue-open-before-gas"],
  "observe/missing": ["observe: [shutter-open]", "step 2: SHUTTER OPEN is out"],
  "observe/surplus": ["observe: dome-panel", "step 3: SHUTTER OPEN is lit"],
  "observe/count": ["{ amber: 3 }", "step 1a: 2 amber lit, not 3"],
  "cover/gap": ["dome-panel", "end: SHUTTER OPEN was not seen out"],
  "guard/closed": ["set: { drive: on }", "step 1: DRIVE is moved under its closed guard"],
  "system/conflict": ["set: { power: on }", "step 1: Roof vents can go to opening and to closing"],
  "system/race": ["set: { power: on }", "step 1: whichever changes first decides the rest"],
  "system/never-settles": ["set: { power: on }", "step 1: Chime relay: round and round"],
  "flow/waits-for-ever": ["wait-for: pump is running", "step 2: nothing that can happen ends the wait"],
  "flow/never-ends": ["repeat", "step 2: round and round, and nothing leads out"],
  "flow/gap": ["decide", "step 1: none of the ways fits"],
  "flow/needs": ["set: { supply: on }", "step 1: come to without `dock-gate is shut`"],
  "flow/begins": ["perform: ship-in", "step 1: come to without `dock-gate is open`"],
  "flow/hand-over": ["ship-in", "end: handed over without `dock-gate is open`"],
  "flow/promise": ["dock-gate is shut", "end: finished without `dock-gate is shut`"],
  "flow/no-start": ["supply is off"],
  "flow/never-reached": ["set: { valve: shut }"],
  "flow/never-taken": ["check: dock-gate is shut"],
  "flow/no-effect": ["set: { dock-gate: shut }"],
  "lanes/held": ["verify: { signal: rest }", "step 1c: SIGNAL is held by the other"],
  "view/cannot-see": ["battery is full"],
  "prohibit/broken": ["set: { lamp: on }", "step 2: LAMP set ON"],
  "prohibit/already-so": ["prohibit: lamp is on"],
  "duty/on": ["hold: { horn: sound }"],
  "duty/rest": ["hold: { horn: sound }", "step 3: HORN held at SOUND"],
  "duty/tries": ["hold: { horn: sound }", "step 5: HORN held at SOUND"],
};

describe("the bad example of", () => {
  test.each([...EXAMPLES.keys()])("%s is told at the right place, with a story to its end", (code) => {
    const [finding, ...others] = findingsOf(code);
    expect(others).toEqual([]);
    const last = finding?.story?.at(-1);
    expect([caretOf(finding!), ...(last ? [`${last.when}: ${last.what}`] : [])]).toEqual(TOLD[code]);
    expect(finding!.story?.filter((line) => line.broken)).toEqual(last && [last]);
  });

  test.each([...EXAMPLES.keys()])("%s offers a way out", (code) => {
    expect(findingsOf(code).flatMap(({ help }) => help)).not.toEqual([]);
  });
});

describe("the start of a story", () => {
  test.each([
    ["flow/never-ends", "DEPTH above 1 m; the rest may be anything"],
    ["flow/gap", "DEPTH at least 2 m and below 5 m; the rest may be anything"],
    ["flow/promise", "GATE OPEN"],
    ["flow/needs", "GATE OPEN; the rest may be anything"],
    ["order/at-most", "anything"],
    ["order/before", "anything that `begins` allows"],
  ])("of %s: %s", (code, start) => {
    expect(findingsOf(code)[0]?.story?.[0]?.what).toBe(start);
  });
});

test("a story says why a branch was taken, and leaves out waits on which nothing depends", () => {
  const told = (code: string) => findingsOf(code)[0]?.story?.map(({ when, what }) => `${when}: ${what}`);
  expect(told("prohibit/broken")).toContain("step 1: lens is cracked: yes");
  expect(told("order/after")).toContain("step 2: lower-gate is shut: no");
  expect(told("order/while")).not.toContain("step 3: 60 s are over");
  expect(told("duty/tries")?.join()).not.toContain("over");
  expect(told("duty/rest")).toContain("step 2: 10 s are over");
});

function findingsOf(code: string): readonly Finding[] {
  const files = Object.entries(EXAMPLES.get(code)!.bad).map(([path, text]) => ({ path, text }));
  return check(files).report.findings;
}

function caretOf({ at }: Finding): string {
  return at.file.text.slice(at.start, at.end);
}
