import { describe, expect, it } from "vitest";
import type { Rule, RuleForm } from "../../src/program/rule.js";
import { loadProgram } from "../support/load.js";
import { complaintsOf, programOf, repository } from "./on-text.js";
import { say } from "./say.js";

function rulesOf(rules: string, procedure?: string): readonly Rule[] {
  return programOf({ rules, ...(procedure === undefined ? {} : { procedure }) }).rules;
}

function formOf(rule: string): string {
  return inWords(rulesOf(`- { id: r, ${rule} }`)[0]!.form);
}

function inWords(form: RuleForm): string {
  switch (form.kind) {
    case "never":
    case "always":
      return `${form.kind} ${say(form.condition)}`;
    case "at-most":
      return `at most ${form.times} times ${say(form.trigger)}`;
    case "after": {
      const deadline = form.deadline === "end" ? "end" : say(form.deadline);
      return `${say(form.condition)} after ${say(form.trigger)} by ${deadline} within ${form.within ?? "any time"}`;
    }
    default:
      return `${say(form.condition)} ${form.kind} ${say(form.trigger)}`;
  }
}

describe("the forms of a rule", () => {
  it.each([
    ["never: bus is on", "never control bus is on"],
    ["always: bus is on", "always control bus is on"],
    ["require: bus is on, when: power", "control bus is on when [power]"],
    ["require: bus is on, while: power", "control bus is on while [power]"],
    ["require: bus is on, before: power", "control bus is on before [power]"],
    ["require: (power) for 60 s, when: key is run", "([power]) for 60000 ms when control key is run"],
    [
      "require: bus is off, after: power, no-later-than: end",
      "control bus is off after [power] by end within any time",
    ],
    [
      "require: bus is off, after: power, no-later-than: key is off",
      "control bus is off after [power] by control key is off within any time",
    ],
    ["require: bus is off, no-later-than: end", "control bus is off after nothing by end within any time"],
    ["require: bus is off, after: power, within: 30 s", "control bus is off after [power] by end within 30000"],
    ["at-most: 3, times: key is crank", "at most 3 times control key is crank"],
  ])("%s", (written, expected) => {
    expect(formOf(written)).toBe(expected);
  });

  it("has its words, severity, scope and fit", () => {
    const [rule] = rulesOf(`
      - id: r
        says: Off at the end.
        never: bus is on
        only-after: key is run
        only-until: key is off
        in: [normal, card]
        applies: heater is fitted
        severity: warning
        because: It drains the battery.
        source: Manual 4.2`);
    expect(rule).toMatchObject({
      id: "r",
      system: "plant",
      says: "Off at the end.",
      severity: "warning",
      because: "It drains the battery.",
      source: "Manual 4.2",
      scope: { in: ["normal", "card"] },
    });
    expect(say(rule?.scope.onlyAfter)).toBe("control key is run");
    expect(say(rule?.scope.onlyUntil)).toBe("control key is off");
    expect(say(rule?.applies)).toBe("fit heater is fitted");
  });

  it("is an error where nothing is said of its severity", () => {
    expect(rulesOf("- { id: r, never: bus is on }")[0]).toMatchObject({ severity: "error", scope: {} });
  });
});

describe("a rule that says `.side`", () => {
  it("holds for each side", () => {
    const rules = rulesOf("- { id: r, require: valve.side is open, before: pump.side is on }");
    expect(rules.map(({ id, form }) => [id, inWords(form)])).toEqual([
      ["r.port", "control valve.port is open before control pump.port is on"],
      ["r.starboard", "control valve.starboard is open before control pump.starboard is on"],
    ]);
  });

  it("says a fault of it for each side", () => {
    expect(complaintsOf({ rules: "- { id: r, require: valve.side is opne, before: pump.side is on }" })).toEqual([
      'position/unknown at "opne": `valve.port` has no position `opne`',
      'position/unknown at "opne": `valve.starboard` has no position `opne`',
    ]);
  });
});

describe("`done` in a rule", () => {
  const OTHER = "kind: procedure\nid: other\ntitle: Other\ncategory: normal\nsteps:\n  - perform: card\n";

  it("is the step of that id in the procedure that is run, and in its place where another performs it", () => {
    const blocks = {
      steps: "- set: { bus: on }\n  id: powered",
      rules: "- { id: r, require: done powered, when: power }",
    };
    expect(inWords(programOf(blocks).rules[0]!.form)).toBe("done powered when [power]");
    const both = programOf({ ...blocks, files: { "other.yaml": OTHER } });
    expect(inWords(both.rules[0]!.form)).toBe("(done powered or done card:powered) when [power]");
  });

  it("is every copy for a side", () => {
    const steps = "- set: { pump.side: on }\n  id: running\n  for-each: { side: [starboard, port] }";
    const [rule] = programOf({ steps, rules: "- { id: r, require: done running, when: power }" }).rules;
    expect(inWords(rule!.form)).toBe("(done running.starboard and done running.port) when [power]");
  });
});

describe("faults of rules", () => {
  it.each([
    ["- { id: r, never: (power) for 3 s }", 'condition/not-here at "(power) for 3 s": `for` has no meaning in `never`'],
    [
      "- { id: r, require: bus is on, when: (power) for 3 s }",
      'condition/not-here at "(power) for 3 s": `for` has no meaning in `when`',
    ],
    [
      "- { id: r, require: not ((power) for 3 s), when: power }",
      'condition/not-here at "(power) for 3 s": `for` has no meaning in a negated part of `require`',
    ],
    [
      "- { id: r, never: spare is lit }",
      'condition/not-here at "spare": `spare` has no `lit-when`, so nothing can be proved of it in `never`',
    ],
    [
      "- { id: r, never: bus is on, in: [nromal] }",
      'name/unknown at "nromal": `nromal` is not the name of a category or procedure',
    ],
    [
      "- { id: r, never: bus is on, applies: bus is on }",
      'condition/not-here at "bus": `bus` is a control: `applies` may name the fit only',
    ],
    [
      "- { id: r, never: bus is on, applies: oil >= 3 bar }",
      'condition/not-here at "oil >= 3 bar": `applies` may name the fit only',
    ],
    [
      "- { id: r, require: done absent, when: power }",
      'name/unknown at "absent": `absent` is not the id of a step of a procedure that the rule is for',
    ],
    [
      "- { id: r, never: bus is on }\n- { id: r, never: power }",
      'name/twice at "r": `r` is already the name of a rule',
    ],
    [
      "- { id: r, never: pump is on }",
      'name/which-side at "pump": `pump` is there for each side (port, starboard): say whether all or any are meant',
    ],
  ])("%s", (rules, expected) => {
    expect(complaintsOf({ rules })).toEqual([expected]);
  });

  it("leaves out a rule with a fault, and keeps the rest", () => {
    const rules = "- { id: bad, never: bus is up }\n- { id: good, never: bus is on }";
    const { program } = loadProgram(repository({ rules }));
    expect(program.rules.map(({ id }) => id)).toEqual(["good"]);
  });

  it("says that rules are for no system where there are several", () => {
    const other = "kind: system\nid: other\ntitle: Other\ncontrols:\n  key: { label: KEY, positions: [off, on] }\n";
    const said = complaintsOf({
      rules: "- { id: r, never: bus is on }",
      procedure: "system: plant",
      files: { "other.yaml": other },
    });
    expect(said).toEqual([
      'system/which at "rules": the project has 2 systems, and this file does not say which it is for',
    ]);
  });
});
