import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { proveProcedure } from "../../src/prove/prove.js";
import { whyOfSteps } from "../../src/prove/why.js";
import { loadProgram } from "../support/load.js";
import { weir } from "../support/weir.js";

/** By the step's number: what relies on it, in a few words; the same with stories and without. */
function reliances(card: ReturnType<typeof weir>): Record<string, string[]> {
  const told = inWords(card, false);
  expect(inWords(card, true)).toEqual(told);
  return told;
}

function inWords({ program, procedure }: ReturnType<typeof weir>, verdictsOnly: boolean): Record<string, string[]> {
  const whys = whyOfSteps(program, procedure, { verdictsOnly });
  return Object.fromEntries(
    whys.map(({ step, breaches }) => [
      step.number,
      breaches.map(({ on, finding }) => {
        if (on.kind === "step")
          return `${finding.code} at ${whys.find((why) => why.step.name === on.step)?.step.number}`;
        return on.kind === "promise" ? `promise ${on.index}` : on.kind === "rule" ? on.rule : on.kind;
      }),
    ]),
  );
}

describe("what relies on a step, by leaving it out", () => {
  test("a rule, a promise, a list of lights and what another step needs", () => {
    const card = weir([
      "begins: [supply is off, pump is off]",
      "ends: [pump-runs]",
      "steps:",
      "  - set: { gate: open }",
      "  - set: { supply: on }",
      "  - do: Look over the side",
      "  - set: { pump: on }",
      "    needs: supply is on",
      "  - observe: [flow]",
      "    lit: [flow]",
    ]);
    expect(reliances(card)).toEqual({
      1: ["gate-first"],
      2: ["flow/needs at 4"],
      3: [],
      4: ["promise 0", "observe/missing at 5"],
      5: [],
    });
  });

  test("a check that could not fail, and a step that is no longer come to", () => {
    const card = weir([
      "begins: [supply is off, pump is off, gate is open]",
      "steps:",
      "  - set: { supply: on }",
      "  - if: supply is on",
      "    then:",
      "      - set: { pump: on }",
      "  - check: pump is on",
      "    if-not: { set-aside: The pump does not start. }",
    ]);
    const told = reliances(card);
    expect(told["1"]).toContain("flow/never-reached at 2a");
    expect(told["2"]).toContain("flow/never-taken at 3");
    expect(told["2a"]).toEqual(["flow/never-taken at 3"]);
    expect(told["3"]).toEqual([]);
  });

  test("only one of two that do the same is not relied on, and the only line of a loop leaves a loop", () => {
    const card = weir([
      "begins: [supply is off, pump is off]",
      "ends: [gate is open]",
      "steps:",
      "  - set: { gate: open }",
      "  - repeat:",
      "      - set: { gate: open }",
      "    times: 2",
    ]);
    expect(reliances(card)).toEqual({ 1: [], 2: [], "2a": [] });
  });

  test("steps can be asked for by name; when the time is up the answer says so", () => {
    const { program, procedure } = weir([
      "begins: [supply is off, pump is off]",
      "steps:",
      "  - set: { gate: open }",
      "  - set: { supply: on }",
    ]);
    const [, second] = procedure.steps;
    const [why, ...more] = whyOfSteps(program, procedure, { steps: [second!.name] });
    expect([why?.step, more]).toEqual([second, []]);
    expect(why?.unproved).toBe(false);
    for (const verdictsOnly of [true, false])
      expect(whyOfSteps(program, procedure, { deadline: () => true, verdictsOnly })[0]?.unproved).toBe(true);
  });

  test("a rule that is broken with the step on one tail, and without it on all, relies on it", () => {
    const card = weir(
      ["steps:", "  - set-aside: No horn here.", "    applies: tank is absent", "  - set: { horn: on }"],
      {
        "weir.yaml": [
          "kind: system",
          "title: Weir (fictional)",
          "fit:",
          "  tank: [present, absent]",
          "fleet:",
          "  A: { tank: present }",
          "  B: { tank: absent }",
          "controls:",
          "  horn: { label: HORN, positions: [off, on] }",
          "",
        ].join("\n"),
        "rules.yaml": "kind: rules\nrules:\n  - { id: quiet, never: horn is on, because: It wakes the keeper. }\n",
      },
    );
    expect(reliances(card)["1"]).toContain("quiet");
  });

  test("what a gauge breaks by its own move relies on nobody, and what the starts alone decide neither", () => {
    const card = weir(
      ["begins: [supply is off, pump is off]", "steps:", "  - set: { supply: on }", "  - set: { horn: on }"],
      {
        "more.yaml": [
          "kind: rules",
          "rules:",
          "  - { id: low, never: level < 1 m, because: It runs dry. }",
          "  - { id: quiet, never: horn is on, because: It wakes the keeper. }",
          "",
        ].join("\n"),
      },
    );
    expect(reliances(card)).toEqual({ 1: [], 2: [] });
  });
});

test("in the emergency start what the language's own page says of it: the verify, the warm-up and the wait are relied on", () => {
  const folder = join(import.meta.dirname, "../../examples/anser");
  const paths = readdirSync(folder, { recursive: true, encoding: "utf8" }).filter((path) => path.endsWith(".yaml"));
  const { program } = loadProgram(
    Object.fromEntries(paths.map((path) => [path, readFileSync(join(folder, path), "utf8")])),
  );
  const procedure = program.procedures.get("emergency-start")!;
  expect(proveProcedure(program, procedure).findings).toEqual([]);
  const rules = (kind: string, number: string) => {
    const lines = procedure.steps.flatMap((one) => (one.kind === "section" ? one.steps : [one]));
    const name = lines.find((one) => one.kind === kind && one.number === number)!.name;
    const [why] = whyOfSteps(program, procedure, { steps: [name] });
    return why!.breaches.flatMap(({ on }) => (on.kind === "rule" ? [on.rule] : []));
  };
  expect(rules("verify", "2")).toEqual(expect.arrayContaining(["warm-up-before-load", "no-crank-on-the-board"]));
  expect(rules("wait-for", "8")).toContain("warm-up-before-load");
  expect(rules("check", "5")).toEqual(["fuel-in-the-tank"]);
});
