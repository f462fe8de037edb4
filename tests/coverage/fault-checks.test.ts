import { expect, test } from "vitest";
import { buildModel } from "../../src/machine/model.js";
import { contextOf } from "../../src/prove/context.js";
import { faultsOnTail } from "../../src/prove/coverage/reveal.js";
import { revealedBy, usualWithoutFault } from "../support/fault-walk.js";
import { aside, check, type Draft, micro, set, waitFor } from "../support/micro.js";

/** What random worlds seldom have. Each verdict also as the interpreter of `tests/oracle` walks it. */
function verdicts(system: string, begins: readonly string[], steps: readonly Draft[]): Record<string, string> {
  const { program, procedure, system: built } = micro(system, { begins, steps });
  const tail = built.tails[0]!;
  const usual = usualWithoutFault(program, procedure, tail, 4000);
  const model = buildModel(program, built, procedure, tail);
  const rows = faultsOnTail(contextOf(program, procedure, model, {}), tail);
  const told = rows.map(({ fault, revealed, first }) => {
    const walked = revealedBy(program, procedure, tail, fault, usual, 4000);
    const plain = revealed === "apart" ? "never" : revealed;
    expect([fault.id, plain, first]).toEqual([fault.id, walked.revealed, walked.first]);
    return [fault.id, [revealed, first].filter(Boolean).join(" at ")];
  });
  return Object.fromEntries(told);
}

const PUMP = "ctl c: off on\neq e: x y; x>y when c is on; y>x when c is off";

test("a check of equipment that fails only with the fault reveals it", () => {
  const steps = [set("c on"), check("e is y", [aside()])];
  expect(verdicts(PUMP, ["c is off", "e is x"], steps)).toMatchObject({
    "control c off": "always at 2",
    "control c on": "no start",
  });
});

test("a check that may fail all the same reveals no fault", () => {
  const late = "ctl c: off on\neq e: x y; x>y when c is on takes 10";
  expect(verdicts(late, ["c is off", "e is x"], [set("c on"), check("e is y", [aside()])])).toMatchObject({
    "control c off": "never",
  });
});

test("a wait that runs out for good only with the fault reveals it, and one without a limit that never ends", () => {
  const late = "ctl c: off on\neq e: x y; x>y when c is on takes 10";
  const begins = ["c is off", "e is x"];
  const limited = [set("c on"), waitFor("e is y", { within: 30, ifNot: [aside()] })];
  expect(verdicts(late, begins, limited)).toMatchObject({ "control c off": "always at 2" });
  expect(verdicts(late, begins, [set("c on"), waitFor("e is y")])).toMatchObject({ "control c off": "always at 2" });
});

test("a check of a light tells of its lamp, and not of what is so without a fault too", () => {
  const system = `${PUMP}\nctl k: off on\nlight green l: e is y`;
  const steps = [set("c on"), check("(l is lit and k is on)", [aside()])];
  expect(verdicts(system, ["c is off", "e is x"], steps)).toMatchObject({
    "light l dark": "sometimes at 2",
    "light l lit": "never",
  });
});
