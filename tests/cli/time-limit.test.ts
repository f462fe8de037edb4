import { expect, test } from "vitest";
import { folderWith, proofcard } from "./run.js";

/** A plant whose clocks are counted second by second through a day: without a limit it would be long in proving. */
const SLOW = {
  "project.yaml":
    "kind: project\nformat: 1\ntitle: Slow plant (fictional)\nsources: [plant.yaml, rules.yaml, card.yaml]\n",
  "plant.yaml": `kind: system
title: Slow plant (fictional)
gauges: { tank: { label: TANK, unit: L, range: 0 to 100 } }
controls:
  key: { label: KEY, positions: [off, on] }
  vent: { label: VENT, positions: [shut, open] }
equipment:
  engine:
    label: Engine
    shown: tachometer
    states: [stopped, running, warm]
    changes:
      - { from: stopped, to: running, when: key is on, takes: 7 s to 11 s }
      - { from: running, to: warm, takes: 97 s to 113 s }
      - { from: [running, warm], to: stopped, when: key is off }
`,
  "rules.yaml": "kind: rules\nrules:\n  - { id: warm-first, require: (engine is warm) for 60 s, when: vent is open }\n",
  "card.yaml": `kind: procedure
title: Warm up
category: normal
begins: [key is off, engine is stopped]
steps:
  - set: { key: on }
  - repeat:
      - do: Read the tank
    every: 3 h
    until: tank >= 50 L
    moves: [tank]
  - wait: 24 h
  - set: { vent: open }
`,
};

test("what the limit cuts off is unproved, with status 1 at any failing level, and soon after the limit", () => {
  const began = performance.now();
  const ran = proofcard(folderWith(SLOW), ["check", "--time-limit", "1", "--fail-on", "error"]);
  expect(ran).toMatchObject({ status: 1, err: "" });
  expect(ran.out).toContain("rule `warm-first` is unproved for `card`: the limit came first");
  expect(ran.out).toContain("0 of 1 proved, 1 unproved");
  expect(performance.now() - began).toBeLessThan(5000);
});
