import { describe, expect, test } from "vitest";
import type { Finding } from "../../src/diagnostics/finding.js";
import { type Line, linesOf, mayPass, reordered } from "../../src/prove/order/lines.js";
import { tiesOf } from "../../src/prove/order/ties.js";
import { Trial } from "../../src/prove/order/trial.js";
import { randomWorld, worldFrom } from "../support/random-world.js";
import { weir } from "../support/weir.js";

/** The lines of a card that begins with everything off. */
function linesOn(steps: readonly string[], more: Readonly<Record<string, string>> = {}, head: readonly string[] = []) {
  const begins = [...head, "begins: [supply is off, pump is off]", "steps:", ...steps.map((step) => `  ${step}`)];
  const { program, procedure } = weir(begins, more);
  return { program, procedure, lines: linesOf(procedure, () => true) };
}

/** Numbers of neighbours that may change places, together; of fixed ones the reason. */
function stretches(steps: readonly string[]): readonly string[] {
  const told: string[] = [];
  const { lines } = linesOn(steps);
  lines.forEach((line, at) => {
    const last = lines[at - 1];
    const text = `${line.step.number}${line.fixed ? ` ${line.fixed}` : ""}`;
    if (last && mayPass(last, line)) told.push(`${told.pop()} ${text}`);
    else told.push(text);
  });
  return told;
}

describe("lines", () => {
  test("that follow each other straight may change places, decisions as a whole; waits and words stay", () => {
    expect(
      stretches([
        "- set: { gate: open }",
        "- set: { horn: on }",
        "- wait: 10 s",
        "- set: { supply: on }",
        "- observe: [flow]",
        "  lit: none",
        "- do: Look over the side",
        "- set: { horn: off }",
        "- if: horn is on",
        "  then:",
        "    - set: { pump: on }",
      ]),
    ).toEqual(["1 2", "3 waits", "4 5", "6 people", "7 8"]);
  });

  test("stay where what is inside them has to: a wait or words in a decision, a loop or a hold", () => {
    const inside = (step: string) =>
      stretches(["- if: horn is on", "  then:", `    - ${step}`, "- set: { gate: open }"]);
    expect(inside("set: { pump: on }")).toEqual(["1 2"]);
    expect(inside("set-aside: No horn, no work.")).toEqual(["1 2"]);
    expect(inside("wait: 10 s")).toEqual(["1 waits", "2"]);
    expect(inside("do: Look over the side")).toEqual(["1 people", "2"]);
  });

  test("of what two people do at once may change places with those of the same person", () => {
    const { lines } = linesOn(
      [
        "- together:",
        "    one: [ set: { gate: open }, set: { horn: on } ]",
        "    two: [ set: { supply: on }, wait: 10 s, set: { pump: on } ]",
        "- set: { horn: off }",
      ],
      {},
      ["crew: { one: First hand, two: Second hand }"],
    );
    expect(lines.map(({ by, stretch, fixed }) => `${by} ${stretch} ${fixed ?? ""}`.trim())).toEqual([
      "one 1",
      "one 1",
      "two 2",
      "two 3 waits",
      "two 4",
      "5",
    ]);
    expect(lines.filter(({ run }) => run !== undefined)).toHaveLength(1);
  });

  test("go with their section past its neighbours, where nothing in it has to stay", () => {
    const section = (title: string, ...steps: string[]) => [
      `- section: ${title}`,
      "  steps:",
      ...steps.map((step) => `    - ${step}`),
    ];
    const { procedure, lines } = linesOn([
      ...section("One", "set: { gate: open }", "set: { horn: on }"),
      ...section("Two", "set: { supply: on }"),
      ...section("Three", "wait: 10 s"),
      "- set: { pump: on }",
      ...section("Four", "set: { horn: off }"),
    ]);
    const [gate, horn, supply, wait, pump, off] = lines.map(({ step }) => step.name);
    const mayChange = lines.map((one) => lines.flatMap((other, at) => (mayPass(one, other) ? [at + 1] : [])).join(" "));
    expect(mayChange).toEqual(["1 2 3", "1 2 3", "1 2 3", "", "5 6", "5 6"]);
    const titles = (order: readonly (string | undefined)[]) =>
      reordered(procedure.steps, lines, order.map(String)).map((step) =>
        step.kind === "section" ? `${step.title}: ${step.steps.map(({ kind }) => kind).join(" ")}` : step.kind,
      );
    expect(titles([supply, horn, gate, wait, off, pump])).toEqual([
      "Two: set",
      "One: set set",
      "Three: wait",
      "Four: set",
      "set",
    ]);
  });

  test("do not leave their section", () => {
    const card = [
      "- section: One",
      "  steps:",
      "    - set: { gate: open }",
      "    - set: { horn: on }",
      "- section: Two",
      "  steps:",
      "    - set: { horn: off }",
      "- set: { supply: on }",
    ];
    const { procedure, lines } = linesOn(card);
    const names = lines.map(({ step }) => step.name);
    const [one, two] = reordered(procedure.steps, lines, [names[1]!, names[2]!, names[3]!, names[0]!]);
    const inside = (step: (typeof procedure.steps)[number] | undefined) =>
      step?.kind === "section" ? step.steps.map(({ name }) => name) : [];
    expect([inside(one), inside(two)]).toEqual([[names[1], names[0]], [names[2]]]);
  });

  test("in another order stand so in their section, what they hold with them", () => {
    const { procedure, lines } = linesOn([
      "- section: One",
      "  steps:",
      "    - set: { gate: open }",
      "    - set: { horn: on }",
      "    - wait: 10 s",
      "    - set: { supply: on }",
    ]);
    const [gate, horn, wait, supply] = lines.map(({ step }) => step.name);
    const [section] = reordered(procedure.steps, lines, [horn!, gate!, wait!, supply!]);
    expect(section?.kind === "section" && section.steps.map(({ name }) => name)).toEqual([horn, gate, wait, supply]);
  });
});

describe("what the model ties together", () => {
  const told = (steps: readonly string[]) => {
    const { program, procedure, lines } = linesOn(steps);
    return tiesOf(program, procedure, lines).map(({ first, second, because }) =>
      [first + 1, second + 1, because.kind, ...("thing" in because ? [because.thing] : [])].join(" "),
    );
  };

  test("acts on one control, a look and what it depends on; acts on different controls are free", () => {
    expect(told(["- set: { horn: on }", "- set: { gate: open }", "- set: { horn: off }"])).toEqual(["1 3 same horn"]);
    expect(told(["- set: { horn: on }", "- set: { pump: on }", "- observe: [flow]", "  lit: none"])).toEqual([
      "2 3 looks pump",
    ]);
  });

  test("a reading of a gauge and any act; two readings are free", () => {
    const read = ["- record: level", "- set: { horn: on }", "- check: level >= 1 m", "  if-not: { do: Write it down }"];
    expect(told(read)).toEqual(["1 2 reads level", "2 3 reads level"]);
  });

  test("a check that can set the card aside, and the acts on either side of it", () => {
    const check = [
      "- set: { gate: open }",
      "- check: horn is off",
      "  if-not: { set-aside: Quiet first. }",
      "- set: { pump: on }",
    ];
    expect(told(check)).toEqual(["1 2 leaves", "2 3 leaves"]);
  });
});

describe("a trial", () => {
  const card = ["- set: { gate: open }", "- set: { horn: on }", "- set: { supply: on }", "- set: { pump: on }"];
  const judged = (order: readonly number[], more: Readonly<Record<string, string>> = {}): Finding | undefined => {
    const { program, procedure, lines } = linesOn(card, more);
    return new Trial(program, procedure, lines, {}).breaks(order.map((at) => lines[at]!.step.name));
  };

  test("finds what an order breaks, and nothing where it breaks nothing", () => {
    expect(judged([0, 1, 2, 3])).toBeUndefined();
    expect(judged([1, 3, 0, 2])).toBeUndefined();
    expect(judged([1, 3, 2, 0])).toMatchObject({ code: "order/when", subject: { rule: "gate-first" } });
  });

  test("goes on to the procedures that perform it", () => {
    const other = [
      "kind: procedure",
      "title: Whole",
      "category: normal",
      "begins: [supply is off, pump is off]",
      "steps:",
      "  - prohibit: pump is on",
      "    only-until: horn is on",
      "  - perform: start",
      "",
    ].join("\n");
    expect(judged([0, 1, 3, 2], { "whole.yaml": other })).toBeUndefined();
    expect(judged([0, 3, 1, 2], { "whole.yaml": other })).toMatchObject({ subject: { procedure: "whole" } });
  });

  test("takes a check that can no longer fail for broken, and what the limit leaves open too", () => {
    const steps = [
      "- set: { gate: open }",
      "- check: horn is on",
      "  if-not: { do: Write it down }",
      "- set: { horn: on }",
    ];
    const { program, procedure, lines } = linesOn(steps);
    const names = [0, 2, 1].map((at) => lines[at]!.step.name);
    expect(new Trial(program, procedure, lines, {}).breaks(names)?.code).toBe("flow/never-taken");
    expect(new Trial(program, procedure, lines, { deadline: () => true }).breaks(names)?.code).toBe("prove/unproved");
  });

  // A break that is told has been gone through on single values; that of a verdict alone has not.
  test("comes to the same with verdicts alone as with every break told, for exchanges in random worlds", () => {
    let [tried, broken] = [0, 0];
    for (let seed = 1; tried < 40; seed++) {
      const world = wholeWorld(seed);
      const lines = world ? linesOf(world.procedure, () => true) : [];
      const at = lines.findIndex((line, index) => index > 0 && isExchange(lines[index - 1]!, line));
      if (!world || at < 0) continue;
      const names = lines.map(({ step }) => step.name);
      const order = names.with(at, names[at - 1]!).with(at - 1, names[at]!);
      const trial = new Trial(world.program, world.procedure, lines, {});
      const told = trial.breaksInFull(order);
      expect(trial.breaks(order) === undefined, `seed ${seed}`).toBe(told === undefined);
      tried += 1;
      if (told) broken += 1;
    }
    expect(broken).toBeGreaterThan(3);
  });
});

/** Two lines outside any section that may change places. */
function isExchange(one: Line, other: Line): boolean {
  return one.unit === one.step && other.unit === other.step && mayPass(one, other);
}

function wholeWorld(seed: number) {
  try {
    return worldFrom(randomWorld(seed));
  } catch {
    return undefined;
  }
}
