import { describe, expect, test } from "vitest";
import { proveProcedure } from "../../../src/prove/prove.js";
import { interpret } from "../../oracle/interpreter.js";
import { loadProgram } from "../../support/load.js";

/** Facts of the trade, each common practice, no published source. The worlds are made up for the tests. */

/** What the prover finds in the card `card.yaml` of a repository, which the interpreter must find too; `code subject`. */
function found(files: Readonly<Record<string, string>>): string[] {
  const { program, findings } = loadProgram({ "project.yaml": PROJECT, ...files });
  expect(findings.map((finding) => finding.message)).toEqual([]);
  const procedure = program.procedures.get("card")!;
  const told = ["error", "warning"];
  const walked = interpret(program, procedure).findings.filter(
    (each) => told.includes(each.severity) && isJudged(each.code),
  );
  const proved = proveProcedure(program, procedure).findings.filter(
    (each) => told.includes(each.severity) && isJudged(each.code),
  );
  const names = proved.map((each) => `${each.code} ${each.subject.rule ?? each.subject.thing ?? ""}`.trim()).sort();
  expect(proved.map((each) => each.code).sort()).toEqual(walked.map((each) => each.code).sort());
  return names;
}

/** Everything but what is of no effect. */
function isJudged(code: string): boolean {
  return !["flow/never-taken", "flow/never-reached", "flow/no-effect", "order/idle"].includes(code);
}

const PROJECT = 'kind: project\nformat: 1\ntitle: Facts of the trade\nsources: ["*.yaml"]\nstep-takes: 3 s\n';

/**
 * On test, the fire detection of a twin shows five red lights (three fire switches, two cutouts) and five amber (two
 * overheat, two master caution, one annunciator) on battery power, and a sixth red, a bay detector fed by alternating
 * current only, once that is there. Common practice, no published source.
 */
describe("the fire test of a twin", () => {
  const red = ["fire-left", "fire-right", "fire-apu", "cutout-left", "cutout-right"];
  const amber = ["overheat-left", "overheat-right", "caution-captain", "caution-copilot", "annunciator"];
  const light = (name: string, colour: string) =>
    `  ${name}: { label: ${name.toUpperCase()}, colour: ${colour}, lit-when: battery is on and fire-test is test }`;
  const system = `kind: system
id: fire
title: Fire detection (fictional)
outside:
  ac: { states: [absent, present], shown: the frequency meter }
controls:
  battery: { label: BAT, positions: [off, on] }
  fire-test: { label: FIRE TEST, positions: [rest, test], springs: { test: rest } }
lights:
${red.map((name) => light(name, "red")).join("\n")}
${amber.map((name) => light(name, "amber")).join("\n")}
  bay: { label: BAY, colour: red, lit-when: ac is present and fire-test is test }
light-sets:
  fire-panel: [${[...red, ...amber, "bay"].join(", ")}]
`;
  const card = (begins: string, lit: readonly string[], count: string) => `kind: procedure
id: card
title: Fire test
category: normal
begins: [${begins}]
steps:
  - hold: { fire-test: test }
    while:
      - observe: fire-panel
        lit: [${lit.join(", ")}]
        count: ${count}
  - observe: fire-panel
    lit: none
`;
  const onBattery = "battery is on, ac is absent";
  const withAc = "battery is on, ac is present";
  const ten = [...red, ...amber];
  test.each([
    ["five red and five amber on battery", card(onBattery, ten, "{ red: 5, amber: 5 }"), []],
    ["a sixth red with alternating current", card(withAc, [...ten, "bay"], "{ red: 6, amber: 5 }"), []],
    [
      "the bay light, where the current is there",
      card("battery is on", [...ten, "{ bay: ac is present }"], "{ amber: 5 }"),
      [],
    ],
    [
      "one count for both",
      card("battery is on", [...ten, "{ bay: ac is present }"], "{ red: 6, amber: 5 }"),
      ["observe/count"],
    ],
    ["six red on battery", card(onBattery, [...ten, "bay"], "{ red: 6, amber: 5 }"), ["observe/missing bay"]],
    ["five red with alternating current", card(withAc, ten, "{ red: 5, amber: 5 }"), ["observe/surplus bay"]],
    ["six red counted on battery", card(onBattery, ten, "{ red: 6, amber: 5 }"), ["observe/count"]],
    [
      "with the battery off",
      card("battery is off, ac is absent", ten, "{ red: 5 }"),
      ten.map((name) => `observe/missing ${name}`).sort(),
    ],
  ])("%s", (_, text, expected) => {
    const names = found({ "fire.yaml": system, "card.yaml": text });
    expect(names.map((name) => (name.startsWith("observe/count") ? "observe/count" : name))).toEqual(expected);
  });
});

/**
 * Bleed air is taken from an auxiliary power unit only after one minute of running, counted from its ready light. Common
 * practice, no published source. The rule is about the air, not the switch: so a switch that the last crew left on counts.
 */
describe("bleed air after one minute", () => {
  const system = `kind: system
id: apu
title: Auxiliary power unit (fictional)
equipment:
  unit:
    label: Unit
    states: [stopped, starting, running]
    changes:
      - { from: stopped, to: starting, when: start is start }
      - { from: starting, to: running, takes: 20 s to 60 s }
controls:
  start: { label: START, positions: [rest, start], springs: { start: rest } }
  bleed: { label: BLEED, positions: [off, on] }
conditions:
  air: bleed is on and unit is running
lights:
  ready: { label: READY, colour: green, lit-when: unit is running }
`;
  const rules = "kind: rules\nrules:\n  - { id: one-minute, require: (ready is lit) for 60 s, when: air }\n";
  const card = (first: string, then: string) => `kind: procedure
id: card
title: Start
category: normal
begins: [unit is stopped]
steps:
${first}  - hold: { start: start }
    for: 2 s
  - wait-for: ready is lit
${then}  - set: { bleed: on }
`;
  const off = "  - verify: [bleed: off]\n";
  test.each([
    ["60 s pass", card(off, "  - wait: 60 s\n"), []],
    ["a minute in two parts passes", card(off, "  - wait: 45 s\n  - wait: 15 s\n"), []],
    ["59 s do not", card(off, "  - wait: 59 s\n"), ["order/when one-minute"]],
    ["no wait does not", card(off, ""), ["order/when one-minute"]],
    [
      "a switch left on is caught",
      card("", "  - wait: 60 s\n"),
      ["order/already-so one-minute", "order/when one-minute"],
    ],
    [
      "a minute from the start switch is not one from the light",
      card(`${off}  - wait: 60 s\n`, ""),
      ["order/when one-minute"],
    ],
  ])("%s", (_, text, expected) => {
    const names = found({ "apu.yaml": system, "rules.yaml": rules, "card.yaml": text });
    expect(names.filter((name) => !name.startsWith("order/already-so"))).toEqual(
      expected.filter((name) => !name.startsWith("order/already-so")),
    );
  });
});

/**
 * On long ground running a boost pump feeds the unit, from the centre tank when that holds more than 1000 lb, else from a
 * main tank. Common practice, no published source. 1 lb is 0.45359237 kg exactly (NIST SP 811, appendix B.8).
 */
describe("the boost pump of a long run on the ground", () => {
  const system = `kind: system
id: fuel
title: Fuel (fictional)
gauges:
  centre-tank: { label: CENTRE, unit: kg, range: 0 to 4000 }
controls:
  centre-pump: { label: CENTRE PUMP, positions: [off, on] }
  main-pump: { label: MAIN PUMP, positions: [off, on] }
`;
  const rules = (centre: string, main: string) => `kind: rules
rules:
  - { id: centre, require: ${centre}, when: centre-pump is on }
  - { id: main, require: ${main}, when: main-pump is on }
  - { id: fed, require: centre-pump is on or main-pump is on, no-later-than: end }
`;
  const card = (condition: string) => `kind: procedure
id: card
title: Long run
category: normal
begins: [centre-pump is off, main-pump is off]
steps:
  - if: ${condition}
    then:
      - set: { centre-pump: on }
    else:
      - set: { main-pump: on }
`;
  const more = "centre-tank > 1000 lb";
  test.each([
    ["the same in kilograms", rules("centre-tank > 453.59237 kg", "centre-tank <= 453.59237 kg"), card(more), []],
    [
      "a hair above",
      rules("centre-tank > 453.592371 kg", "centre-tank <= 453.592371 kg"),
      card(more),
      ["order/when centre"],
    ],
    [
      "a hair below",
      rules("centre-tank > 453.592369 kg", "centre-tank <= 453.592369 kg"),
      card(more),
      ["order/when main"],
    ],
    [
      "exactly 1000 lb is not more",
      rules("centre-tank > 453.59237 kg", "centre-tank <= 453.59237 kg"),
      card("centre-tank >= 1000 lb"),
      ["order/when centre"],
    ],
    [
      "exactly 1000 lb is at least that",
      rules("centre-tank >= 453.59237 kg", "centre-tank < 453.59237 kg"),
      card("centre-tank >= 1000 lb"),
      [],
    ],
    [
      "the ways changed over",
      rules("centre-tank > 453.59237 kg", "centre-tank <= 453.59237 kg"),
      card("centre-tank < 1000 lb"),
      ["order/when centre", "order/when main"],
    ],
  ])("%s", (_, text, procedure, expected) => {
    expect(found({ "fuel.yaml": system, "rules.yaml": text, "card.yaml": procedure })).toEqual(expected);
  });
});

/** A crossfeed opened to balance is closed again once balanced. Common practice, no published source. */
describe("the crossfeed", () => {
  const system = `kind: system
id: fuel
title: Fuel (fictional)
gauges:
  tank: { label: TANK, sides: [left, right], unit: kg, range: 0 to 400 }
controls:
  crossfeed: { label: CROSSFEED, positions: [closed, open] }
`;
  const rules = `kind: rules
rules:
  - { id: closed-again, after: crossfeed is open, require: crossfeed is closed, no-later-than: end }
  - { id: level-first, require: tank.left is within 100 kg of tank.right, when: crossfeed is closed }
`;
  const card = (begins: string, last: string, level = "tank.left is within 100 kg of tank.right") => `kind: procedure
id: card
title: Balance
category: normal
${begins}steps:
  - if: not (tank.left is within 100 kg of tank.right)
    then:
      - set: { crossfeed: open }
      - repeat:
          - do: Read both tanks
        until: ${level}
        moves: [tank.left, tank.right]
${last}
`;
  const closed = "begins: [crossfeed is closed]\n";
  const close = "      - set: { crossfeed: closed }";
  test.each([
    ["closed again", card(closed, close), []],
    ["left open", card(closed, ""), ["order/after closed-again"]],
    ["left open by the last crew", card("", close), ["order/after closed-again"]],
    ["closed too early", card(closed, close, "tank.left is within 200 kg of tank.right"), ["order/when level-first"]],
  ])("%s", (_, text, expected) => {
    const names = found({ "fuel.yaml": system, "rules.yaml": rules, "card.yaml": text });
    expect(names.filter((name) => !name.startsWith("order/already-so"))).toEqual(expected);
  });
});
