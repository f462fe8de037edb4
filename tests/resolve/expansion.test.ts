import { describe, expect, it } from "vitest";
import type { Step } from "../../src/program/procedure.js";
import { innerSteps } from "../../src/program/walk.js";
import { complaintsOf, programOf } from "./on-text.js";
import { say } from "./say.js";

/** Every step as `number name`, outer before inner. */
function listed(steps: readonly Step[]): string[] {
  return steps.flatMap((step) => [`${step.number} ${step.name}`, ...innerSteps(step).flatMap(listed)]);
}

function stepsOf(
  steps: string,
  more: { procedure?: string; files?: Record<string, string>; of?: string } = {},
): readonly Step[] {
  const { procedure = "", files = {}, of = "card" } = more;
  return programOf({ steps, procedure, files }).procedures.get(of)!.steps;
}

/** The controls that the steps move, in order, with the side of the step. */
function moved(steps: readonly Step[]): string[] {
  return steps.flatMap((step) => {
    const own =
      step.kind === "set" ? step.moves.map(({ controls }) => `${controls.join("+")} for ${step.side ?? "none"}`) : [];
    return [...own, ...innerSteps(step).flatMap(moved)];
  });
}

const DRILL = `kind: procedure
id: drill
title: Drill
category: normal
begins: [power]
steps:
  - set: { key: run }
    id: turned
  - if: done turned
    then:
      - do: Look
`;

const SIDED = `kind: procedure
id: start
title: Start
category: normal
begins: [pump.side is off]
steps:
  - set: { pump.side: on }
    id: running
`;

describe("numbers", () => {
  it("count through sections and go by letters and figures inside steps", () => {
    const steps = stepsOf(`
      - do: One
      - section: First
        steps:
          - do: Two
          - if: power
            then:
              - repeat:
                  - do: Deep
                times: 2
            else:
              - do: Other
          - section: Inner
            steps:
              - do: Four
      - section: Second
        steps:
          - memory:
              - do: Five`);
    expect(listed(steps).map((line) => line.split(" ")[0])).toEqual([
      "1",
      "A",
      "2",
      "3",
      "3a",
      "3a1",
      "3b",
      "A.A",
      "4",
      "B",
      "",
      "5",
    ]);
  });

  it("are letters past z", () => {
    const many = Array.from({ length: 28 }, () => "    - do: Look").join("\n");
    const numbers = listed(stepsOf(`- repeat:\n${many}\n  times: 2`)).map((line) => line.split(" ")[0]);
    expect(numbers.slice(-3)).toEqual(["1z", "1aa", "1ab"]);
  });
});

describe("names", () => {
  it("are the author's, else made from the verb and what it is about, each once", () => {
    const steps = stepsOf(`
      - set: { bus: on }
      - set: { bus: off }
      - check: tank.port >= 100 L
        if-not: { set-aside: Fill the port tank first. }
      - set: { bus.guard: closed }
        id: set-bus-2
      - section: Safe to start
        steps:
          - press: { key: crank }`);
    expect(listed(steps).map((line) => line.split(" ").slice(1).join(" "))).toEqual([
      "set-bus",
      "set-bus-3",
      "check-tank.port-100-l",
      "set-aside-fill-the-port-tank",
      "set-bus-2",
      "section-safe-to-start",
      "press-key",
    ]);
  });

  it("do not change where a line is put in before them", () => {
    const before = listed(stepsOf("- set: { bus: on }\n- press: { key: crank }"));
    const after = listed(stepsOf("- do: Look\n- set: { bus: on }\n- press: { key: crank }"));
    const names = (lines: string[]) => lines.map((line) => line.split(" ")[1]);
    expect(names(after).slice(1)).toEqual(names(before));
  });
});

describe("for-each", () => {
  const steps = stepsOf(`
    - set: { pump.side: on }
      id: running
      for-each: { side: [starboard, port] }
    - if: done running
      then:
        - do: Look
    - repeat:
        - set: { valve.side: open }
          id: opened
        - if: done opened
          then:
            - do: Look
      times: 2
      for-each: { side: [port, starboard] }`);

  it("is a copy for each side, in written order", () => {
    expect(moved(steps)).toEqual([
      "pump.starboard for starboard",
      "pump.port for port",
      "valve.port for port",
      "valve.starboard for starboard",
    ]);
    expect(listed(steps).filter((line) => line.includes(" running"))).toEqual([
      "1 running.starboard",
      "2 running.port",
    ]);
  });

  it("is done when every copy is", () => {
    const [, , after] = steps;
    expect(after?.kind === "if" && say(after.condition)).toBe("(done running.starboard and done running.port)");
  });

  it("means its own copy inside a copy", () => {
    const loops = steps.flatMap((step) => (step.kind === "repeat" ? [step.steps[1]] : []));
    expect(loops.map((step) => step?.kind === "if" && say(step.condition))).toEqual([
      "done opened.port",
      "done opened.starboard",
    ]);
  });
});

describe("parts", () => {
  const parts = `
    parts:
      look:
        - set: { valve.side: open }
          id: opened
        - if: done opened
          then:
            - do: Look`;

  it("are put in place, for the side they are performed with", () => {
    const steps = stepsOf("- perform: look\n  with: { side: port }\n- perform: look\n  with: { side: starboard }", {
      procedure: parts,
    });
    expect(moved(steps)).toEqual(["valve.port for port", "valve.starboard for starboard"]);
    expect(listed(steps)).toEqual([
      "1 perform-look",
      "1a look.port:opened",
      "1b look.port:if-done-opened",
      "1b1 look.port:do-look",
      "2 perform-look-2",
      "2a look.starboard:opened",
      "2b look.starboard:if-done-opened",
      "2b1 look.starboard:do-look",
    ]);
    expect(steps.map(({ side }) => side)).toEqual(["port", "starboard"]);
  });

  it("have the side of the copy that performs them", () => {
    const steps = stepsOf("- perform: look\n  for-each: { side: [port, starboard] }", { procedure: parts });
    expect(moved(steps)).toEqual(["valve.port for port", "valve.starboard for starboard"]);
    expect(listed(steps)[1]).toBe("1a look.port:opened");
  });

  it("performed twice have steps of their own, and either is enough to be done", () => {
    const procedure = "parts:\n  look:\n    - do: Look\n      id: looked";
    const steps = stepsOf("- perform: look\n- perform: look\n- if: done looked\n  then:\n    - do: On", { procedure });
    expect(listed(steps).slice(0, 4)).toEqual([
      "1 perform-look",
      "1a look:looked",
      "2 perform-look-2",
      "2a look:looked-2",
    ]);
    expect(steps[2]?.kind === "if" && say(steps[2].condition)).toBe("(done look:looked or done look:looked-2)");
  });

  it("that say `.side` need one", () => {
    expect(complaintsOf({ steps: "- perform: look", procedure: parts })).toEqual([
      'name/no-side at "valve.side": `valve.side` stands where there is no side',
    ]);
  });
});

describe("performed procedures", () => {
  const files = { "drill.yaml": DRILL };

  it("are put in place with what they take for granted", () => {
    const [step] = stepsOf("- perform: drill", { files });
    expect(step).toMatchObject({ kind: "perform", target: { kind: "procedure", id: "drill", title: "Drill" } });
    expect(step?.kind === "perform" && step.begins.map(say)).toEqual(["[power]"]);
    expect(listed(step ? [step] : [])).toEqual([
      "1 perform-drill",
      "1a drill:turned",
      "1b drill:if-done-turned",
      "1b1 drill:do-look",
    ]);
    const inner = step?.kind === "perform" ? step.steps[1] : undefined;
    expect(inner?.kind === "if" && say(inner.condition)).toBe("done drill:turned");
  });

  it("have steps that others can name", () => {
    const steps = stepsOf("- perform: drill\n- if: done drill:turned\n  then:\n    - do: On", { files });
    expect(steps[1]?.kind === "if" && say(steps[1].condition)).toBe("done drill:turned");
    expect(complaintsOf({ steps: "- perform: drill\n- if: done turned\n  then:\n    - do: On", files })).toEqual([
      'name/unknown at "turned": `turned` is not the id of a step of `card`',
    ]);
  });

  it("say a fault in them once, at its place in their own file", () => {
    const broken = { "drill.yaml": DRILL.replace("key: run", "key: runn") };
    expect(complaintsOf({ steps: "- perform: drill", files: broken })).toEqual([
      'position/unknown at "runn": `key` has no position `runn`',
    ]);
  });

  it("keep their own crew", () => {
    const crewed = {
      "drill.yaml": DRILL.replace("begins:", "crew: { mate: Mate }\nbegins:").replace(
        "- set: { key: run }",
        "- set: { key: run }\n    by: mate",
      ),
    };
    const [step] = stepsOf("- perform: drill", { files: crewed });
    expect(step?.kind === "perform" && step.steps[0]?.by).toEqual(["mate"]);
  });

  it.each([
    ["parts:\n  a:\n    - perform: a", "- perform: a", 'perform/cycle at "a": `a` performs itself'],
    [
      "parts:\n  a:\n    - perform: b\n  b:\n    - perform: a",
      "- perform: a",
      'perform/cycle at "a": a ring of performs: `a` -> `b` -> `a`',
    ],
    ["", "- perform: card", 'perform/cycle at "card": `card` performs itself'],
  ])("are cut where they perform themselves: %s", (procedure, steps, expected) => {
    expect(complaintsOf({ procedure, steps })).toEqual([expected]);
  });

  it("are cut where two perform each other", () => {
    const other = "kind: procedure\nid: other\ntitle: Other\ncategory: normal\nsteps:\n  - perform: card\n";
    expect(complaintsOf({ steps: "- perform: other", files: { "other.yaml": other } })).toEqual([
      'perform/cycle at "other": a ring of performs: `other` -> `card` -> `other`',
      'perform/cycle at "card": a ring of performs: `card` -> `other` -> `card`',
    ]);
  });

  it("must not have the name of a part", () => {
    expect(complaintsOf({ procedure: "parts:\n  drill:\n    - do: Look", files })).toEqual([
      'name/twice at "drill": `drill` is already the name of a procedure',
    ]);
  });
});

describe("a procedure that says `.side`", () => {
  const files = { "start.yaml": SIDED };

  it("is there once for each side", () => {
    const { procedures } = programOf({ files });
    expect([...procedures.keys()]).toEqual(["card", "start.port", "start.starboard"]);
    expect(procedures.get("start.port")).toMatchObject({ id: "start.port", title: "Start, port" });
    expect(procedures.get("start.port")?.begins.map(say)).toEqual(["control pump.port is off"]);
    expect(moved(procedures.get("start.starboard")!.steps)).toEqual(["pump.starboard for none"]);
  });

  it("is performed, gone to and followed for one side", () => {
    const { procedures } = programOf({
      steps: "- perform: start\n  with: { side: port }\n- go-to: start.starboard",
      procedure: "next: start.port",
      files,
    });
    const { steps, next } = procedures.get("card")!;
    expect(moved(steps)).toEqual(["pump.port for port"]);
    expect(steps[0]).toMatchObject({ target: { id: "start", title: "Start, port" } });
    expect(listed(steps)[1]).toBe("1a start.port:running");
    expect([steps[1]?.kind === "go-to" && steps[1].procedure, next?.procedure]).toEqual([
      "start.starboard",
      "start.port",
    ]);
  });

  it("is named by a rule for all its sides", () => {
    const { rules } = programOf({ files, rules: "- { id: r, never: power, in: [start] }" });
    expect(rules[0]?.scope.in).toEqual(["start.port", "start.starboard"]);
  });

  it.each([
    ["- perform: start", "", 'name/no-side at "start": `start` is there for each side (port, starboard)'],
    ["- go-to: start", "", 'name/no-side at "start": `start` is there for each side'],
    ["- do: Look", "next: start", 'name/no-side at "start": `start` is there for each side'],
  ])("must be called for a side: %s %s", (steps, procedure, expected) => {
    expect(complaintsOf({ steps, procedure, files })).toEqual([expected]);
  });

  it("is the only one that can be performed with a side", () => {
    expect(complaintsOf({ steps: "- perform: drill\n  with: { side: port }", files: { "drill.yaml": DRILL } })).toEqual(
      ['name/no-side at "port": nothing in `drill` has a side `port`'],
    );
  });
});
