import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { innerSteps, walkSteps } from "../../src/program/walk.js";
import { loadProgram } from "../support/load.js";
import { complaintsAbout } from "./on-text.js";
import { say } from "./say.js";

const FILES = [
  "project.yaml",
  "systems/anser-emergency-power.yaml",
  "rules/standing.yaml",
  "procedures/emergency-start.yaml",
  "procedures/load-essentials.yaml",
];

function anser(names: readonly string[] = FILES): Record<string, string> {
  const read = (name: string) => readFileSync(new URL(`../../examples/anser/${name}`, import.meta.url), "utf8");
  return Object.fromEntries(names.map((name) => [name, read(name)]));
}

describe("the example of RV Anser", () => {
  const { program, findings } = loadProgram(anser());
  const start = program.procedures.get("emergency-start")!;

  it("resolves without a finding", () => {
    expect(findings).toEqual([]);
  });

  it("has one finding without the card that follows: its `next`", () => {
    const alone = anser(["project.yaml", "systems/anser-emergency-power.yaml", "procedures/emergency-start.yaml"]);
    expect(complaintsAbout(alone)).toEqual([
      'name/unknown at "load-essentials": `load-essentials` is not the name of a procedure',
    ]);
  });

  it("has two tails, and a rule for each line", () => {
    expect(program.systems.get("anser-emergency-power")?.tails.map(({ name }) => name)).toEqual(["Anser", "Brent"]);
    expect(program.rules.map(({ id }) => id)).toContain("warm-up-before-load");
  });

  it("numbers its steps through the sections", () => {
    const top = start.steps.flatMap((section) => innerSteps(section).flat());
    expect(top.map(({ number, kind }) => `${number} ${kind}`)).toEqual([
      "1 set",
      "2 verify",
      "3 perform",
      "4 if",
      "5 check",
      "6 set",
      "7 hold",
      "8 wait-for",
      "9 check",
      "10 set",
      "11 set",
    ]);
  });

  it("names every step once, and gives each who does it", () => {
    const all = [...walkSteps(start.steps)];
    expect(new Set(all.map(({ name }) => name)).size).toBe(all.length);
    expect(all.every(({ by }) => by.join() === "eng")).toBe(true);
    expect(all.find(({ id }) => id === "crank")).toMatchObject({
      name: "crank",
      for: { milliseconds: 15_000, upTo: true },
    });
  });

  it("has conditions as written", () => {
    expect(start.ends.map(say)).toEqual(["[board]", "[pump-runs]", "control crossover is closed"]);
    const pump = program.systems.get("anser-emergency-power")?.conditions.get("pump-runs");
    expect(pump?.label).toBe("A cooling pump runs");
    expect(say(pump?.means)).toBe(
      "((control cooling-pump.port is on or control cooling-pump.starboard is on) and [board])",
    );
    const warm = program.rules.find(({ id }) => id === "warm-up-before-load")?.form;
    expect(warm?.kind === "when" && say(warm.condition)).toBe("(equipment generator is ready) for 60000 ms");
  });
});
