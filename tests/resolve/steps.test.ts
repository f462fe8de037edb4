import { describe, expect, it } from "vitest";
import type { Step } from "../../src/program/procedure.js";
import { loadProgram } from "../support/load.js";
import { complaintsOf, programOf, repository } from "./on-text.js";
import { say } from "./say.js";

function stepsOf(steps: string, procedure = "crew: { eng: Engineer, mate: Mate }"): readonly Step[] {
  return programOf({ steps, procedure }).procedures.get("card")!.steps;
}

function stepOf(step: string): Step {
  return stepsOf(step)[0]!;
}

const ASIDE = "if-not: { set-aside: Call the engineer. }";

describe("moves of controls", () => {
  it("are at once in a map and one after another in a list", () => {
    expect(stepOf("- set: { bus: on, heat: off }")).toMatchObject({
      kind: "set",
      atOnce: true,
      moves: [
        { choice: "each", controls: ["bus"], written: "bus", position: "on" },
        { controls: ["heat"], position: "off" },
      ],
    });
    expect(stepOf("- verify: [bus: on, heat: off]")).toMatchObject({ kind: "verify", atOnce: false });
  });

  it("are of all sides, of one, of a guard, of either, of a group", () => {
    const controls = (target: string, position: string) => {
      const step = stepOf(`- set: { ${target}: ${position} }`);
      return step.kind === "set"
        ? step.moves.map(({ choice, controls: ids, written }) => ({ choice, ids, written }))
        : [];
    };
    expect(controls("pump", "on")).toEqual([{ choice: "each", ids: ["pump.port", "pump.starboard"], written: "pump" }]);
    expect(controls("pump.port", "on")).toEqual([{ choice: "each", ids: ["pump.port"], written: "pump.port" }]);
    expect(controls("bus.guard", "open")).toEqual([{ choice: "each", ids: ["bus.guard"], written: "bus.guard" }]);
    expect(controls("valve.port.guard", "open")).toMatchObject([{ ids: ["valve.port.guard"] }]);
    expect(controls("valve.guard", "open")).toMatchObject([{ ids: ["valve.port.guard", "valve.starboard.guard"] }]);
    expect(controls("either pump", "on")).toEqual([
      { choice: "either", ids: ["pump.port", "pump.starboard"], written: "pump" },
    ]);
    expect(controls("warmers", "off")).toMatchObject([{ ids: ["heat", "pump.port", "pump.starboard"] }]);
  });

  it("are pressed and held at sprung positions", () => {
    expect(stepOf("- press: { key: crank }\n  times: 2")).toMatchObject({ kind: "press", times: 2 });
    expect(stepOf("- press: { key: crank }")).toMatchObject({ times: 1 });
    expect(stepOf("- hold: { key: crank }\n  for: 5 s")).toMatchObject({ for: { milliseconds: 5000, upTo: false } });
    expect(stepOf("- hold: { key: crank }\n  for: up to 1.5 min")).toMatchObject({
      for: { milliseconds: 90_000, upTo: true },
    });
    expect(stepOf("- hold: { key: crank }\n  while:\n    - do: Listen")).toMatchObject({ steps: [{ kind: "do" }] });
  });
});

describe("looks and decisions", () => {
  it("check, wait-for and watch say what then", () => {
    expect(stepOf(`- check: bus is on\n  ${ASIDE}`)).toMatchObject({
      kind: "check",
      condition: { kind: "is", thing: "bus" },
      ifNot: [{ kind: "set-aside", text: "Call the engineer." }],
    });
    expect(stepOf(`- watch: power\n  ${ASIDE}`)).toMatchObject({ kind: "watch", ifNot: [{ kind: "set-aside" }] });
    const wait = stepOf(`- wait-for: (power) for 60 s\n  within: 3 min\n  while:\n    - do: Listen\n  ${ASIDE}`);
    expect(wait).toMatchObject({ kind: "wait-for", within: 180_000, steps: [{ kind: "do" }], ifNot: [{}] });
    expect(stepOf("- wait-for: power")).not.toHaveProperty("within");
  });

  it("observe names its lights, those lit, counts and answers", () => {
    const step = stepOf(`- observe: board
  lit: [ready, low.port, { hot: power }]
  count: { green: 1, amber: 1 }
  if-not:
    ready: { set-aside: No light. }
    low: [{ do: Look again }]`);
    expect(step).toMatchObject({
      kind: "observe",
      lights: ["ready", "low.port", "low.starboard", "hot"],
      set: "board",
      lit: [{ light: "ready" }, { light: "low.port" }, { light: "hot", when: { kind: "named", condition: "power" } }],
      ifNot: [{ light: "ready" }, { light: "low.port" }, { light: "low.starboard" }],
    });
    expect(step.kind === "observe" && [...step.count]).toEqual([
      ["green", 1],
      ["amber", 1],
    ]);
  });

  it("observe expects nothing lit, or answers whichever light is wrong", () => {
    const step = stepOf("- observe: [ready, low]\n  lit: none\n  if-not: { do: Look again }");
    expect(step).toMatchObject({
      lights: ["ready", "low.port", "low.starboard"],
      lit: [],
      ifNot: [{ steps: [{ kind: "do" }] }],
    });
    expect(step).not.toHaveProperty("set");
    expect(step.kind === "observe" && step.ifNot[0]).not.toHaveProperty("light");
  });

  it("if, decide and choose have their ways", () => {
    expect(stepOf("- if: power\n  then:\n    - do: A\n  else:\n    - do: B\n    - do: C")).toMatchObject({
      // biome-ignore lint/suspicious/noThenProperty: the word of the language
      then: [{ text: "A" }],
      else: [{ text: "B" }, { text: "C" }],
    });
    const decide = stepOf("- decide:\n    - when: power\n      then: [{ do: A }]\n    - otherwise: [{ do: B }]");
    expect(decide).toMatchObject({ ways: [{ condition: { kind: "named" } }, { steps: [{ text: "B" }] }] });
    expect(decide.kind === "decide" && decide.ways[1]).not.toHaveProperty("condition");
    expect(
      stepOf("- choose:\n    - { title: Left, steps: [{ do: A }] }\n    - { title: Right, steps: [{ do: B }] }"),
    ).toMatchObject({
      options: [{ title: "Left" }, { title: "Right" }],
    });
  });

  it("repeat ends by a look or a count", () => {
    expect(
      stepOf("- repeat:\n    - do: Pump\n  until: tank.port <= 10 L\n  every: 5 min\n  moves: [tank, oil]"),
    ).toMatchObject({
      until: { kind: "compare" },
      every: 300_000,
      moves: ["tank.port", "tank.starboard", "oil"],
      steps: [{ text: "Pump" }],
    });
    expect(stepOf("- repeat:\n    - do: Pump\n  times: 3")).toMatchObject({ times: 3, moves: [] });
  });
});

describe("the other verbs", () => {
  it.each([
    ["- wait: 90 s", { kind: "wait", milliseconds: 90_000 }],
    [
      "- ask: { shore: connected }\n  of: the yard",
      { kind: "ask", outside: "shore", state: "connected", of: "the yard" },
    ],
    ["- finish: Done.", { kind: "finish", text: "Done." }],
    ["- set-aside: Call.", { kind: "set-aside", text: "Call." }],
    ["- pause: Here\n  released-by: Bridge", { kind: "pause", text: "Here", releasedBy: "Bridge" }],
    ["- record: oil", { kind: "record", gauge: "oil" }],
    ["- sign: Engineer", { kind: "sign", text: "Engineer" }],
    ["- do: Look", { kind: "do", text: "Look" }],
    ["- say: Clear", { kind: "say", lines: [{ text: "Clear" }] }],
    [
      "- say: { mate: Clear?, eng: Clear }",
      {
        lines: [
          { who: "mate", text: "Clear?" },
          { who: "eng", text: "Clear" },
        ],
      },
    ],
    ["- section: Start\n  steps:\n    - do: Look", { kind: "section", title: "Start", steps: [{ kind: "do" }] }],
    ["- memory:\n    - do: Look", { kind: "memory", steps: [{ kind: "do" }] }],
    [
      "- prohibit: power\n  only-until: bus is off",
      { kind: "prohibit", condition: { kind: "named" }, until: { kind: "is" } },
    ],
    [
      "- together:\n    eng: [{ do: A }]\n    mate: [{ do: B }]",
      { lanes: [{ by: "eng", steps: [{ by: ["eng"] }] }, { by: "mate" }] },
    ],
  ])("%s", (written, expected) => {
    expect(stepOf(written)).toMatchObject(expected);
  });

  it("record is a line for each gauge of a bare name", () => {
    expect(
      stepsOf("- record: tank").map((step) => [step.number, step.name, step.kind === "record" && step.gauge]),
    ).toEqual([
      ["1", "record-tank.port", "tank.port"],
      ["2", "record-tank.starboard", "tank.starboard"],
    ]);
  });
});

describe("what any step may carry", () => {
  it("is there as written", () => {
    const step = stepOf(`- set: { bus: on }
  id: powered
  by: [eng, mate]
  needs: shore is absent
  warning: Live.
  caution: Hot.
  note: Hums.
  words: { challenge: BUS, response: On and watched }
  takes: 10 s
  critical: true
  applies: heater is fitted
  ref: 4.2/1
  added: Ours.
  moved: Up.
  because: So.`);
    const { needs, applies, ...rest } = step;
    expect(rest).toMatchObject({
      name: "powered",
      id: "powered",
      number: "1",
      by: ["eng", "mate"],
      warning: "Live.",
      caution: "Hot.",
      note: "Hums.",
      words: { challenge: "BUS", response: "On and watched" },
      takes: 10_000,
      critical: true,
      ref: "4.2/1",
      added: "Ours.",
      moved: "Up.",
      because: "So.",
    });
    expect([say(needs), say(applies)]).toEqual(["outside shore is absent", "fit heater is fitted"]);
  });

  it("has defaults: the project's time, nobody, not critical", () => {
    const step = stepOf("- set: { bus: on }");
    expect(step).toMatchObject({ takes: 3000, by: [], critical: false });
    expect(Object.keys(step)).not.toContain("needs");
  });

  it("takes the project's time where it says none", () => {
    const files = {
      "project.yaml": "kind: project\nformat: 1\ntitle: Project\nstep-takes: 4.5 s\ncategories: [drill]\n",
    };
    expect(programOf({ files }).procedures.get("card")?.steps[0]?.takes).toBe(4500);
  });

  it("has who does it from the section, the lane or itself", () => {
    const steps = stepsOf(`- section: A
  by: eng
  steps:
    - do: One
    - do: Two
      by: mate
    - if: power
      then:
        - do: Three`);
    const [section] = steps;
    const inner = section?.kind === "section" ? section.steps : [];
    expect(inner.map(({ by }) => by)).toEqual([["eng"], ["mate"], ["eng"]]);
    expect(inner[2]?.kind === "if" && inner[2].then[0]?.by).toEqual(["eng"]);
  });

  it("puts its caret under the verb and its value, under the verb alone where steps follow", () => {
    const [set, repeat] = stepsOf("- set: { bus: on }\n  note: Hums.\n- repeat:\n    - do: Look\n  times: 2");
    const under = (step: Step | undefined) => step?.verb.file.text.slice(step.verb.start, step.verb.end);
    expect([under(set), under(repeat)]).toEqual(["set: { bus: on }", "repeat"]);
  });
});

describe("faults of steps", () => {
  it.each([
    ["- set: { bsu: on }", 'name/unknown at "bsu": `bsu` is not the name of a control'],
    ["- set: { either pmup: on }", 'name/unknown at "pmup": `pmup` is not the name of a control'],
    ["- set: { bus: up }", 'position/unknown at "up": `bus` has no position `up`'],
    ["- set: { warmers: hot }", 'position/unknown at "hot": `heat` has no position `hot`'],
    ["- set: { key: crank }", 'position/sprung at "crank": `key` springs back from `crank` to `run`'],
    ["- verify: [bus: on, key: crank]", 'position/sprung at "crank": `key` springs back from `crank` to `run`'],
    [
      "- set: { pump: off, pump.port: on }",
      'step/contradiction at "pump.port: on": `pump.port` is moved twice at once',
    ],
    ["- press: { key: run }", 'position/not-sprung at "run": `key` stays at `run`: there is nothing to press'],
    ["- hold: { bus: on }", 'position/not-sprung at "on": `bus` stays at `on`: there is nothing to hold'],
    ["- verify: { motor: still }", 'step/not-settable at "motor": `motor` is equipment: the crew cannot verify it'],
    ["- set: { shore: connected }", 'step/not-settable at "shore": `shore` is outside: the crew cannot set it'],
    ["- set: { ready: lit }", 'step/not-settable at "ready": `ready` is a light: the crew cannot set it'],
    [
      "- set: { either bus: on }",
      'name/which-side at "either bus": `either bus` names one control, so there is nothing to choose',
    ],
    [
      "- ask: { bus: on }\n  of: the yard",
      'name/wrong-kind at "bus": `bus` is a control: only what is outside can be asked for',
    ],
    ["- ask: { shore: there }\n  of: the yard", 'position/unknown at "there": `shore` has no state `there`'],
    ["- record: bus", 'name/wrong-kind at "bus": `bus` is a control, not a gauge'],
    ["- observe: [bus]\n  lit: none", 'name/wrong-kind at "bus": `bus` is a control, not a light'],
    [
      "- observe: [ready]\n  lit: [low.port]",
      'observe/not-watched at "low.port": `low.port` is not among the lights that this step looks at',
    ],
    ["- observe: [ready]\n  lit: [{ ready: pwoer }]", 'name/unknown at "pwoer": `pwoer` is not the name of a thing'],
    [
      "- observe: [ready, low, low.port]\n  lit: none",
      'name/twice at "low.port": `low.port` is already the name of a light of this look',
    ],
    [
      "- observe: [low]\n  lit: [low, low.port]",
      'name/twice at "low.port": `low.port` is already the name of a light that is listed as lit',
    ],
    [
      `- observe: [ready]\n  lit: none\n  if-not: { low.port: { do: Look } }`,
      'observe/not-watched at "low.port": `low.port` is not among the lights that this step looks at',
    ],
    ["- perform: testing", 'name/unknown at "testing": `testing` is not the name of a part or procedure'],
    ["- go-to: elsewhere", 'name/unknown at "elsewhere": `elsewhere` is not the name of a procedure'],
    ["- do: Look\n  by: enf", 'name/unknown at "enf": `enf` is not one of the `crew` of `card`'],
    ["- say: { captain: Clear }", 'name/unknown at "captain": `captain` is not one of the `crew` of `card`'],
    [
      "- together:\n    eng: [{ do: A }]\n    bridge: [{ do: B }]",
      'name/unknown at "bridge": `bridge` is not one of the `crew` of `card`',
    ],
    [
      "- do: Look\n  needs: spare is lit",
      'condition/not-here at "spare": `spare` has no `lit-when`, so nothing can be proved of it in `needs`',
    ],
    [
      "- do: Look\n  needs: (power) for 3 s",
      'condition/not-here at "(power) for 3 s": `for` has no meaning in `needs`',
    ],
    [
      "- do: Look\n  applies: power",
      'condition/not-here at "power": `power` is a named condition: `applies` may name the fit only',
    ],
    ["- do: Look\n  id: a\n- do: Look\n  id: a", 'name/twice at "a": `a` is already the name of a step of `card`'],
    ["- do: Look\n  for-each: { side: [left] }", 'name/no-side at "left": nothing in the system has a side `left`'],
    [
      "- repeat:\n    - do: Look\n  times: 2\n  until: power",
      'step/contradiction at "until": a `repeat` with both `until` and `times` has two ends',
    ],
    [
      "- repeat:\n    - do: Look\n  times: 2\n  moves: [bus]",
      'name/wrong-kind at "bus": `bus` is a control, not a gauge',
    ],
    [
      "- decide:\n    - otherwise: [{ do: A }]\n    - when: power\n      then: [{ do: B }]",
      'step/contradiction at "when": a way after `otherwise` is never taken',
    ],
    [
      "- together:\n    eng:\n      - together: { eng: [{ do: A }], mate: [{ do: B }] }\n    mate: [{ do: C }]",
      'step/contradiction at "together": `together` stands inside `together`',
    ],
    ["- wait: 0.0001 s", 'quantity/unreadable at "0.0001 s": `0.0001 s` is not a time in whole milliseconds'],
  ])("%s", (steps, expected) => {
    expect(complaintsOf({ steps, procedure: "crew: { eng: Engineer, mate: Mate }" })).toEqual([expected]);
  });

  it("offers a name only where one alone is near", () => {
    const help = (name: string) => programFindings(`- set: { ${name}: on }`)[0]?.edits?.map(({ text }) => text);
    expect(help("bsu")).toEqual(["bus"]);
    expect(help("hea")).toEqual(["heat"]);
    expect(help("zzz")).toBeUndefined();
  });
});

function programFindings(steps: string) {
  return loadProgram(repository({ steps })).findings;
}
