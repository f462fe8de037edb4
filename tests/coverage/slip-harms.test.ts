import { expect, test } from "vitest";
import { coverProcedure } from "../../src/prove/coverage/cover.js";
import { interpret } from "../oracle/interpreter.js";
import {
  aside,
  check,
  type Draft,
  micro,
  press,
  prohibit,
  set,
  together,
  wait,
  waitFor,
  when,
} from "../support/micro.js";
import { usualIn } from "../support/sights.js";
import { outcomeOf } from "../support/slip-walk.js";

/** What random worlds seldom have. Each verdict also as the interpreter of `tests/oracle` walks it. */
function verdicts(
  system: string,
  begins: readonly string[],
  steps: readonly Draft[],
  ends: readonly string[] = [],
): Record<string, string> {
  const { program, procedure, system: built } = micro(system, { begins, steps, ends });
  const tail = built.tails[0]!;
  const sound = interpret(program, procedure);
  expect(sound.findings.filter(({ severity }) => severity === "error")).toEqual([]);
  const usual = usualIn(program, procedure, tail, 4000);
  const rows = coverProcedure(program, procedure, {}).slips!.rows;
  const told = rows.map((row) => {
    const walked = outcomeOf({ program, procedure, tail, sound, usual, limit: 4000 }, row.slip);
    expect([row.slip, row.verdict, row.caughtAt]).toEqual([row.slip, walked.verdict, walked.caughtAt]);
    if (row.breaks) expect(row.breaks.story.length).toBeGreaterThan(0);
    const outcome = row.breaks ? `${row.breaks.kind} ${row.breaks.what}` : (row.caughtAt ?? row.verdict);
    return [[row.slip.kind, row.slip.step, row.slip.control, row.slip.detail].filter(Boolean).join(" "), outcome];
  });
  return Object.fromEntries(told);
}

test("a slip after which a line does what another forbids is silent", () => {
  const steps = [prohibit("(c is on and d is on)"), set("c off"), set("d on")];
  const told = verdicts("ctl c: off on\nctl d: off on", ["c is on", "d is off"], steps);
  expect(told).toMatchObject({ "left out 1": "harmless", "left out 2": "prohibition 1", "early 3 2": "prohibition 1" });
});

test("a slip after which a sprung position is taken too soon, or too often, is silent", () => {
  const system = "ctl s: off on, springs on>off, duty /20/2\nctl c: off on";
  const often = [set("c off"), press("s on"), wait(20), press("s on"), when("c is on", [wait(20), press("s on")])];
  expect(verdicts(system, ["c is on"], often)).toMatchObject({
    "left out 1": "duty s",
    "left out 2": "harmless",
    "left out 3": "duty s",
    "early 4 3": "duty s",
  });
});

test("a check that may fail all the same tells nothing of a slip, and what is done for it then counts", () => {
  const system =
    "ctl c: off on\nctl d: off on\neq e: x y; x>y when d is on takes 10\nrule r: never (c is on and d is off)";
  const steps = [set("d on"), check("e is y", [set("c on"), aside()]), set("c on")];
  expect(verdicts(system, ["c is off", "e is x"], steps)).toMatchObject({ "left out 1": "rule r" });
});

test("a check that fails only with the slip catches it, where the rest may be either way", () => {
  const system = "ctl c: off on\nctl d: off on\nctl k: off on\nrule r: never (c is on and d is off)";
  const steps = [set("d on"), check("(d is on and k is on)", [aside()]), set("c on")];
  expect(verdicts(system, ["c is off"], steps)).toMatchObject({ "left out 1": "2" });
});

test("a wait that runs out for good only with the slip catches it", () => {
  const system = "ctl d: off on\neq e: x y; x>y when d is on takes 10";
  const steps = [set("d on"), waitFor("e is y", { within: 30, ifNot: [aside()] })];
  expect(verdicts(system, ["e is x", "d is off"], steps)).toMatchObject({ "left out 1": "2" });
});

test("leaving a line out adds no moment: what is owed at the end is judged at the last act that is done", () => {
  const system =
    "ctl c: off on\nctl d: off on\neq e: x y; x>y when c is on takes 10\nrule r: require d is on after e is y no-later-than end";
  const told = verdicts(system, ["c is off", "d is off", "e is x"], [set("c on"), set("d on")]);
  expect(told).toMatchObject({ "left out 2": "harmless", "early 2 1": "harmless" });
});

test("a slip in a line that nobody comes to is harmless", () => {
  const steps = [together([set("c on")], [set("d on")]), aside(), aside()];
  const told = verdicts("ctl c: off on\nctl d: off on", [], steps, ["c is on"]);
  expect(told).toMatchObject({ "left out 3": "harmless", "left out 2": "harmless" });
});
