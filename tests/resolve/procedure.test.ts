import { describe, expect, it } from "vitest";
import { complaintsOf, programOf } from "./on-text.js";
import { say } from "./say.js";

const NEXT = "kind: procedure\nid: after\ntitle: After\ncategory: normal\nsteps:\n  - do: Look\n";

describe("the keys of a procedure", () => {
  const procedure = `
    use-when: The bus is dead.
    starts-on: [ready, low]
    read-as: [flow, challenge-response]
    crew: { eng: Duty engineer, mate: Mate }
    reader: mate
    revision: { number: 007, date: 2026-10-02, effective: 2026-11-01, by: Office }
    summary: Added a wait.
    baseline: { document: Manual, section: 6.10, revision: 12 }
    omits:
      - { ref: 6.10/7, because: No such valve. }
    begins: [bus is off, not power]
    ends: [power, done powered, checked (power)]
    covers: [board]
    next: after
    allow:
      - { finding: order/when, step: powered, because: Seen. }
      - { finding: state/redundant-set, rule: some-rule, because: Seen. }
      - { finding: order/never, rule: sided, because: Seen. }`;
  const { begins, ends, ...card } = programOf({
    procedure,
    steps: "- set: { bus: on }\n  id: powered",
    rules: "- { id: some-rule, never: bus is on }\n- { id: sided, never: pump.side is on }",
    files: { "after.yaml": NEXT },
  }).procedures.get("card")!;

  it("are there as written", () => {
    expect(card).toMatchObject({
      id: "card",
      system: "plant",
      title: "Card",
      category: "normal",
      useWhen: "The bus is dead.",
      startsOn: { lights: ["ready", "low.port", "low.starboard"] },
      readAs: ["flow", "challenge-response"],
      reader: "mate",
      revision: { number: "007", date: "2026-10-02", effective: "2026-11-01", by: "Office" },
      summary: "Added a wait.",
      baseline: { document: "Manual", section: "6.10", revision: "12" },
      omits: [{ ref: "6.10/7", because: "No such valve." }],
      covers: [{ set: "board" }],
      next: { procedure: "after" },
      allows: [
        { code: "order/when", step: "powered", because: "Seen." },
        { code: "state/redundant-set", rule: "some-rule" },
        { code: "order/never", rule: "sided.port" },
        { code: "order/never", rule: "sided.starboard" },
      ],
    });
    expect([...card.crew]).toEqual([
      ["eng", "Duty engineer"],
      ["mate", "Mate"],
    ]);
  });

  it("hold conditions", () => {
    expect(begins.map(say)).toEqual(["control bus is off", "not [power]"]);
    expect(ends.map(say)).toEqual(["[power]", "done powered", "checked ([power])"]);
  });

  it("are absent or empty where nothing is written", () => {
    const plain = programOf({}).procedures.get("card")!;
    expect(plain).toMatchObject({ readAs: ["read-and-do"], omits: [], begins: [], ends: [], covers: [], allows: [] });
    for (const key of ["next", "revision", "baseline", "startsOn", "useWhen", "reader"])
      expect(plain).not.toHaveProperty(key);
  });

  it("may be words for what it starts on", () => {
    expect(programOf({ procedure: "starts-on: Smoke" }).procedures.get("card")?.startsOn).toEqual({
      text: "Smoke",
      lights: [],
    });
  });

  it.each([
    ["next: load", 'name/unknown at "load": `load` is not the name of a procedure'],
    ["covers: [bored]", 'name/unknown at "bored": `bored` is not the name of a light set'],
    ["reader: mate", 'name/unknown at "mate": `mate` is not one of the `crew` of `card`'],
    ["starts-on: [bus]", 'name/wrong-kind at "bus": `bus` is a control, not a light'],
    ["begins: [done first]", 'condition/not-here at "done first": `done` has no meaning in `begins`'],
    ["begins: [checked (power)]", 'condition/not-here at "checked (power)": `checked` has no meaning in `begins`'],
    ["begins: [(power) for 3 s]", 'condition/not-here at "(power) for 3 s": `for` has no meaning in `begins`'],
    [
      "begins: [spare is lit]",
      'condition/not-here at "spare": `spare` has no `lit-when`, so nothing can be proved of it in `begins`',
    ],
    ["ends: [(power) for 3 s]", 'condition/not-here at "(power) for 3 s": `for` has no meaning in `ends`'],
    [
      "allow: [{ finding: order/when, step: frist, because: Seen. }]",
      'name/unknown at "frist": `frist` is not the id of a step of `card`',
    ],
    [
      "allow: [{ finding: order/when, rule: ruel, because: Seen. }]",
      'name/unknown at "ruel": `ruel` is not the id of a rule',
    ],
    ["system: plan", 'name/unknown at "plan": `plan` is not the id of a system'],
  ])("%s", (keys, expected) => {
    expect(complaintsOf({ procedure: keys })).toEqual([expected]);
  });

  it("name a category that the project has", () => {
    const drill = { "after.yaml": NEXT.replace("category: normal", "category: drill") };
    expect(complaintsOf({ files: drill })).toEqual([
      'name/unknown at "drill": `drill` is not a category of this project',
    ]);
    const project = { "project.yaml": "kind: project\nformat: 1\ntitle: P\ncategories: [drill]\n" };
    expect(complaintsOf({ files: { ...drill, ...project } })).toEqual([]);
  });
});

describe("the project", () => {
  it("has its settings, and defaults for the rest", () => {
    const text =
      "kind: project\nformat: 1\ntitle: P\nstep-takes: 2 s\nfindings: { wording/long-step: off, order/when: warning }\ncards: { paper: A4 }\nomission: { short: 0.001, long: 0.003 }\n";
    const { project } = programOf({ files: { "project.yaml": text } });
    expect(project).toMatchObject({
      title: "P",
      categories: ["normal", "abnormal", "emergency"],
      stepTakes: 2000,
      cards: { paper: "A4", profile: "arm-length" },
      omission: { short: 0.001, long: 0.003 },
    });
    expect([...project.severities]).toEqual([
      ["wording/long-step", "off"],
      ["order/when", "warning"],
    ]);
    expect(programOf({}).project).toMatchObject({
      title: "",
      stepTakes: 3000,
      cards: { paper: "A5", profile: "arm-length" },
    });
  });
});

describe("files", () => {
  it("are for no system where there is none", () => {
    const said = complaintsOf({ files: { "plant.yaml": "" } }).filter((line) => !line.startsWith("file/empty"));
    expect(said).toEqual(['system/which at "card": there is no system that this file could be for']);
  });

  it("of one id are reported at the second, and the first stands", () => {
    const second = NEXT.replace("id: after", "id: card").replace("title: After", "title: Second");
    expect(complaintsOf({ files: { "second.yaml": second } })).toEqual([
      'file/same-id at "card": `card` is already the id of card.yaml',
    ]);
  });
});
