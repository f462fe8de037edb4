import { describe, expect, it } from "vitest";
import { complaintsOf, programOf } from "./on-text.js";
import { say } from "./say.js";

/** The condition of an `if`, resolved. */
function resolved(condition: string): string {
  const step = programOf({ steps: `- if: ${quoted(condition)}\n  then:\n    - do: Look` }).procedures.get("card")!
    .steps[0]!;
  return step.kind === "if" ? say(step.condition) : step.kind;
}

function complaints(condition: string): string[] {
  return complaintsOf({ steps: `- if: ${quoted(condition)}\n  then:\n    - do: Look` });
}

function quoted(text: string): string {
  return text.includes("#") || text.includes(": ") ? JSON.stringify(text) : text;
}

describe("what a condition says", () => {
  it.each([
    ["bus is on", "control bus is on"],
    ["bus is not on", "control bus is not on"],
    ["key is off/run", "control key is off/run"],
    ["bus.guard is closed", "control bus.guard is closed"],
    ["valve.port.guard is open", "control valve.port.guard is open"],
    ["motor is turning/still", "equipment motor is turning/still"],
    ["shore is connected", "outside shore is connected"],
    ["heater is fitted", "fit heater is fitted"],
    ["power", "[power]"],
    ["running.port", "[running.port]"],
    ["ready is lit", "light ready is lit"],
    ["ready is not lit", "light ready is not lit"],
    ["spare is flashing", "light spare is flashing"],
    ["spare is lit/out", "(light spare is lit or light spare is out)"],
    ["spare is not lit/out", "(light spare is not lit and light spare is not out)"],
    ["oil is normal", "oil is normal 3 bar..4.5 bar"],
    ["oil is not normal", "oil is not normal 3 bar..4.5 bar"],
    ["tank.port >= 100 L", "tank.port >= 100 L"],
    ["100 L <= tank.port", "100 L <= tank.port"],
    ["tank.port > tank.starboard", "tank.port > tank.starboard"],
    ["tank.port is within 50 L of tank.starboard", "tank.port within 50 L of tank.starboard"],
    ["tank.port is within 50 L of 300 L", "(tank.port >= 300 L - 50 L and tank.port <= 300 L + 50 L)"],
    ["(power) for 60 s", "([power]) for 60000 ms"],
    ["not (power or bus is on)", "not ([power] or control bus is on)"],
    ["checked (power and bus is on)", "checked (([power] and control bus is on))"],
    ["recorded tank.port", "recorded tank.port"],
  ])("%s", (written, expected) => {
    expect(resolved(written)).toBe(expected);
  });
});

describe("all and any", () => {
  it.each([
    ["all pump is off", "(control pump.port is off and control pump.starboard is off)"],
    ["any pump is not off", "(control pump.port is not off or control pump.starboard is not off)"],
    ["any running", "([running.port] or [running.starboard])"],
    ["all pump.guard is open", undefined],
    ["all valve.guard is open", "(control valve.port.guard is open and control valve.starboard.guard is open)"],
    [
      "all warmers is off",
      "((not fitted heat or control heat is off) and control pump.port is off and control pump.starboard is off)",
    ],
    [
      "any warmers is on",
      "((fitted heat and control heat is on) or control pump.port is on or control pump.starboard is on)",
    ],
    [
      "any board is lit",
      "(light ready is lit or light low.port is lit or light low.starboard is lit or (fitted hot and light hot is lit))",
    ],
  ])("%s", (written, expected) => {
    if (expected === undefined)
      expect(complaints(written)).toEqual(['name/no-side at "pump.guard": `pump` has no guard']);
    else expect(resolved(written)).toBe(expected);
  });

  it("keeps what was written, for wording", () => {
    const [step] = programOf({ steps: "- if: any pump is on\n  then:\n    - do: Look" }).procedures.get("card")!.steps;
    const condition = step?.kind === "if" ? step.condition : undefined;
    expect(condition?.kind === "or" && condition.quantifier).toEqual({ word: "any", thing: "pump" });
  });
});

describe("quantities", () => {
  it("converts between units of one dimension exactly", () => {
    const [step] = programOf({ steps: "- if: tank.port >= 100 USgal\n  then:\n    - do: Look" }).procedures.get(
      "card",
    )!.steps;
    const condition = step?.kind === "if" ? step.condition : undefined;
    const right =
      condition?.kind === "compare" && condition.right.kind === "constant" ? condition.right.value : undefined;
    // NIST SP 811: one US gallon is 3.785411784 L.
    expect(right).toEqual({
      text: "100 USgal",
      unit: "USgal",
      dimension: "volume",
      value: { numerator: 473176473n, denominator: 1250000n },
    });
  });

  it.each([
    ["tank.port >= 100 kg", 'quantity/units at "100 kg": `100 kg` is a mass (kg), and `tank.port` is a volume (L)'],
    ["tank.port >= 100", 'quantity/units at "100": `100` has no unit, and `tank.port` is a volume (L)'],
    ["tank.port > oil", 'quantity/units at "oil": `oil` is a pressure (bar), and `tank.port` is a volume (L)'],
    [
      "tank.port is within 5 bar of tank.starboard",
      'quantity/units at "5 bar": `5 bar` is a pressure (bar), and `tank.port` is a volume (L)',
    ],
    [
      "tank.port >= 801 L",
      'quantity/outside-range at "801 L": `tank.port` never reads `801 L`: its range is 0 to 800 L',
    ],
    ["oil >= 9 bar", 'quantity/outside-range at "9 bar": `oil` never reads `9 bar`: its range is 0 to 8 bar'],
    [
      "3 bar >= 2 bar",
      'condition/says-nothing at "3 bar >= 2 bar": `3 bar` and `2 bar` are both numbers, so nothing is read',
    ],
    ["(power) for 60 kg", 'quantity/unreadable at "60 kg": `60 kg` is not a time'],
  ])("%s", (written, expected) => {
    expect(complaints(written)).toEqual([expected]);
  });

  it("takes the ends of a range for readings", () => {
    expect(complaints("tank.port >= 800 L")).toEqual([]);
    expect(complaints("oil >= 0.0000 bar")).toEqual([]);
  });
});

describe("what a condition may not say", () => {
  it.each([
    ["pmup is on", 'name/unknown at "pmup": `pmup` is not the name of a thing'],
    ["breaker is open", 'name/unknown at "breaker": `breaker` is not the name of a thing'],
    [
      "pump is on",
      'name/which-side at "pump": `pump` is there for each side (port, starboard): say whether all or any are meant',
    ],
    ["warmers is on", 'name/which-side at "warmers": `warmers` is a group of 3: say whether all or any are meant'],
    ["all bus is on", 'name/which-side at "bus": `bus` is one thing: `all` has nothing to choose from'],
    ["tank >= 100 L", 'name/which-side at "tank": `tank` is there for each side (port, starboard): say which one'],
    ["pump.prt is on", 'name/no-side at "pump.prt": `pump` has no side `prt`'],
    ["bus.port is on", 'name/no-side at "bus.port": `bus` has no sides'],
    ["bus is onn", 'position/unknown at "onn": `bus` has no position `onn`'],
    ["motor is trned", 'position/unknown at "trned": `motor` has no state `trned`'],
    ["heater is present", 'position/unknown at "present": `heater` has no value `present`'],
    ["ready is on", 'position/unknown at "on": `ready` has no state `on`'],
    ["ready is flashing", 'position/unknown at "flashing": `ready` has no state `flashing`'],
    ["oil is caution", 'position/unknown at "caution": `oil` has no band `caution`'],
    ["bus", 'condition/says-nothing at "bus": `bus` is a control, not a condition'],
    ["ready and power", 'condition/says-nothing at "ready": `ready` is a light, not a condition'],
    ["power is on", 'name/wrong-kind at "power": `power` is a named condition: it stands at no position'],
    ["motor >= 3 bar", 'name/wrong-kind at "motor": `motor` is equipment, not a gauge'],
    ["recorded bus", 'name/wrong-kind at "bus": `bus` is a control, not a gauge'],
    ["done cranked", 'name/unknown at "cranked": `cranked` is not the id of a step of `card`'],
    ["checked ((power) for 3 s)", 'condition/not-here at "(power) for 3 s": `for` has no meaning in `checked`'],
    ["checked (done x)", 'condition/not-here at "done x": `done` has no meaning in `checked`'],
    [
      "((power) for 3 s) for 4 s",
      'condition/not-here at "(power) for 3 s": `for` has no meaning in what a `for` times',
    ],
    [
      "checked (spare is lit)",
      'condition/not-here at "spare": `spare` has no `lit-when`, so nothing can be proved of it in `checked`',
    ],
  ])("%s", (written, expected) => {
    expect(complaints(written)).toEqual([expected]);
  });

  it("reports every fault of a condition, each at its own place", () => {
    expect(complaints("bus is onn and motor is of and pmup is on").length).toBeGreaterThan(0);
    expect(complaints("bus is onn and (motor is still or pmup is on)")).toEqual([
      'position/unknown at "onn": `bus` has no position `onn`',
      'name/unknown at "pmup": `pmup` is not the name of a thing',
    ]);
  });
});
