import { expect } from "vitest";
import { loadProgram } from "./load.js";

const FILES = {
  "project.yaml": 'kind: project\nformat: 1\ntitle: Weir (fictional)\nsources: ["*.yaml"]\n',
  "weir.yaml": `kind: system
title: Weir (fictional)
gauges:
  level: { label: LEVEL, unit: m, range: 0 to 9 }
controls:
  supply: { label: SUPPLY, positions: [off, on] }
  gate: { label: GATE, positions: [shut, open] }
  pump: { label: PUMP, positions: [off, on] }
  horn: { label: HORN, positions: [off, on] }
conditions:
  pump-runs: supply is on and pump is on
lights:
  flow: { label: FLOW, colour: green, lit-when: pump-runs }
`,
  "rules.yaml": `kind: rules
rules:
  - { id: gate-first, require: gate is open, when: pump-runs, because: It floods. }
`,
};

/** A card of a small weir, with other files beside it: `card` is what stands below its category, a line each. */
export function weir(card: readonly string[], more: Readonly<Record<string, string>> = {}) {
  const { program, findings } = loadProgram({
    ...FILES,
    "start.yaml": ["kind: procedure", "title: Start", "category: normal", ...card, ""].join("\n"),
    ...more,
  });
  expect(findings).toEqual([]);
  return { program, procedure: program.procedures.get("start")! };
}
