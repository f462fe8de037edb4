import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { check } from "../../src/pipeline.js";
import type { System } from "../../src/program/system.js";
import { nodeHost } from "../../src/workspace/node-host.js";
import { openWorkspace } from "../../src/workspace/project.js";

const FOLDER = join(import.meta.dirname, "../../examples");
const EXAMPLES = ["anser", "merrow-m46", "brannock", "hollin-dome"];

describe.each(EXAMPLES)("examples/%s", (name) => {
  const { checked, files } = checkedExample(name);

  test("checks clean, and every procedure of it is proved", () => {
    expect(checked.report.findings.map(({ code, at, message }) => `${at.file.path} ${code}: ${message}`)).toEqual([]);
    expect(checked.report.leftOut).toEqual([]);
    expect(checked.proofs.map(({ procedure }) => procedure).sort()).toEqual(
      [...checked.program.procedures.keys()].sort(),
    );
    expect(checked.proofs.flatMap(({ rules }) => rules).filter(({ verdict }) => verdict !== "holds")).toEqual([]);
  });

  test("says in every title and on every file that it is fictional, and accepts no finding", () => {
    const { project, systems, procedures } = checked.program;
    for (const { title } of [project, ...systems.values()]) expect(title).toContain("(fictional)");
    for (const { text } of files) expect(text).toMatch(/fictional|Fictional/);
    expect([...procedures.values()].flatMap(({ allows }) => allows)).toEqual([]);
  });

  test("places every control, gauge and light of a panel inside that panel, each apart", () => {
    for (const system of checked.program.systems.values()) expect(misplaced(system)).toEqual([]);
  });
});

test("the Merrow M46 is as large as it is meant to be", () => {
  const { program } = checkedExample("merrow-m46").checked;
  const m46 = program.systems.get("m46")!;
  const families = new Set([...m46.equipment.values()].map(({ family }) => family));
  expect(m46.panels.size).toBe(9);
  expect([...m46.controls.values()].filter(({ guards }) => !guards).length).toBeGreaterThanOrEqual(60);
  expect(m46.lights.size).toBeGreaterThanOrEqual(60);
  expect(families.size).toBeGreaterThanOrEqual(6);
  expect(m46.fits).toHaveLength(2);
  expect(m46.tails).toHaveLength(4);
  expect(new Set(program.rules.map(({ span }) => span.start + span.file.path)).size).toBeGreaterThanOrEqual(20);
  expect(program.procedures.size).toBeGreaterThanOrEqual(8);
});

test("RV Brannock has at least thirty controls and a card for two people at once", () => {
  const { program } = checkedExample("brannock").checked;
  const controls = [...program.systems.get("brannock-power")!.controls.values()];
  expect(controls.filter(({ guards }) => !guards).length).toBeGreaterThanOrEqual(30);
  const steps = program.procedures.get("blackout-recovery")!.steps;
  expect(steps.flatMap((step) => (step.kind === "together" ? step.lanes.map(({ by }) => by) : []))).toEqual([
    "eng",
    "mate",
  ]);
});

function checkedExample(name: string) {
  const { files, findings } = openWorkspace(nodeHost, FOLDER, [name]);
  return { files, checked: check(files, { findings }) };
}

/** Things without a place, outside their panel, or nearer than 8 mm to another on it. */
function misplaced(system: System): string[] {
  const things = [...system.controls.values(), ...system.gauges.values(), ...system.lights.values()].filter(
    (thing) => thing.panel !== undefined && !("guards" in thing && thing.guards) && !("in" in thing && thing.in),
  );
  return things
    .filter((thing) => {
      const size = system.panels.get(thing.panel!)?.size;
      if (!size || !thing.at) return true;
      const [x, y] = thing.at;
      const near = things.some(
        (other) => other !== thing && other.panel === thing.panel && other.at && distance(thing.at!, other.at) < 8,
      );
      return x < 5 || y < 5 || x > size[0] - 5 || y > size[1] - 5 || near;
    })
    .map(({ id }) => id);
}

function distance(a: readonly [number, number], b: readonly [number, number]): number {
  return Math.hypot(a[0] - b[0], a[1] - b[1]);
}
