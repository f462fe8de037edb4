import type { Condition } from "../../src/program/condition.js";
import type { Procedure, Step, StepCommon, Verb } from "../../src/program/procedure.js";
import type { Program } from "../../src/program/program.js";
import { type Quantity, rational } from "../../src/program/quantity.js";
import type { Colour, Control, Light, System } from "../../src/program/system.js";
import type { Span } from "../../src/source/file.js";

/** Programs made by hand, so that cards can be tested without the parser: RV Anser (fictional) and whatever steps a test needs. */
export const HERE: Span = { file: { path: "hand.yaml", text: "" }, start: 0, end: 0 };

export function quantity(text: string): Quantity {
  const [value = "", unit = ""] = text.split(" ");
  return { text, unit, dimension: unit, value: rational(BigInt(Math.round(Number(value) * 1000)), 1000n) };
}

export function control(id: string, label: string, positions: string[], more: Partial<Control> = {}): Control {
  const made = positions.map((position) => ({ id: position, placard: position.toUpperCase() }));
  return {
    kind: "control",
    id,
    label,
    family: id,
    positions: made,
    springs: new Map(),
    safety: false,
    span: HERE,
    ...more,
  };
}

export function light(id: string, label: string, colour: Colour, more: Partial<Light> = {}): Light {
  return { kind: "light", id, label, family: id, sound: false, colour, span: HERE, ...more };
}

export function is(thing: string, value: string, of: "control" | "equipment" = "control"): Condition {
  return { kind: "is", of, thing, values: [value], negated: false, span: HERE };
}

let count = 0;
export function step(verb: Verb, more: Partial<StepCommon> = {}): Step {
  count += 1;
  return {
    name: `step-${count}`,
    number: "",
    span: HERE,
    verb: HERE,
    by: [],
    takes: 3000,
    critical: false,
    ...more,
    ...verb,
  };
}

export function set(
  controls: string[],
  position: string,
  more: Partial<StepCommon> = {},
  kind: "set" | "verify" = "set",
): Step {
  const moves = [{ choice: "each" as const, controls, written: controls[0] ?? "", position, span: HERE }];
  return step({ kind, moves, atOnce: true }, more);
}

export const system: System = {
  id: "anser",
  title: "RV Anser, emergency power (fictional)",
  fits: [],
  tails: [{ name: "Anser", fit: new Map(), span: HERE }],
  controls: new Map(
    [
      control("breaker", "GEN BREAKER", ["open", "closed"], { panel: "board" }),
      control("cooling-pump.port", "COOLING PUMP", ["off", "on"], {
        family: "cooling-pump",
        side: "port",
        sideLabel: "1",
        panel: "board",
      }),
      control("cooling-pump.starboard", "COOLING PUMP", ["off", "on"], {
        family: "cooling-pump",
        side: "starboard",
        sideLabel: "2",
        panel: "board",
      }),
      control("start-key", "ENGINE", ["off", "run", "crank"], { springs: new Map([["crank", "run"]]), panel: "start" }),
      control("lamp-test", "TEST", ["rest", "test"], { springs: new Map([["test", "rest"]]), panel: "start" }),
      control("silence", "SILENCE", ["rest", "pressed"], { springs: new Map([["pressed", "rest"]]), panel: "start" }),
    ].map((one) => [one.id, one]),
  ),
  gauges: new Map([
    [
      "oil",
      {
        kind: "gauge",
        id: "oil",
        label: "OIL",
        family: "oil",
        unit: "bar",
        dimension: "pressure",
        bands: [],
        span: HERE,
      },
    ],
  ]),
  equipment: new Map([
    [
      "generator",
      {
        kind: "equipment",
        id: "generator",
        label: "Generator",
        family: "generator",
        states: ["stopped", "ready"],
        changes: [],
        shown: "tachometer",
        span: HERE,
      },
    ],
  ]),
  outside: new Map(),
  conditions: new Map(),
  lights: new Map(
    [light("low-oil", "LOW OIL", "red"), light("overspeed", "OVERSPEED", "red"), light("ready", "READY", "green")].map(
      (one) => [one.id, one],
    ),
  ),
  lightSets: new Map([
    ["alarm-panel", { id: "alarm-panel", label: "Alarm panel", lights: ["low-oil", "overspeed", "ready"], span: HERE }],
  ]),
  groups: new Map(),
  panels: new Map([
    ["start", { id: "start", title: "START", span: HERE }],
    ["board", { id: "board", title: "BOARD", span: HERE }],
  ]),
  span: HERE,
};

export function procedure(steps: readonly Step[], more: Partial<Procedure> = {}): Procedure {
  return {
    id: "emergency-start",
    system: "anser",
    title: "Emergency generator start",
    category: "emergency",
    readAs: ["read-and-do"],
    crew: new Map([["eng", "Duty engineer"]]),
    revision: { number: "3", date: "2026-10-02", effective: "2026-11-01" },
    omits: [],
    begins: [],
    ends: [],
    covers: [],
    allows: [],
    span: HERE,
    steps: numbered(steps),
    ...more,
  };
}

export function programOf(...procedures: readonly Procedure[]): Program {
  return {
    project: {
      title: "Machinery cards",
      categories: [],
      stepTakes: 3000,
      severities: new Map(),
      cards: { paper: "A5", profile: "arm-length" },
    },
    systems: new Map([["anser", system]]),
    rules: [],
    procedures: new Map(procedures.map((one) => [one.id, one])),
  };
}

/** The card of the README's example, shortened. */
export function anserStart(): Procedure {
  const bar = (text: string): Condition => ({
    kind: "compare",
    left: { kind: "gauge", gauge: "oil" },
    operator: ">=",
    right: { kind: "constant", value: quantity(text) },
    span: HERE,
  });
  const aside = (text: string) => step({ kind: "set-aside", text });
  return procedure([
    step({
      kind: "section",
      title: "Safe to start",
      steps: [
        set(["breaker"], "open", {}, "verify"),
        set(["cooling-pump.port", "cooling-pump.starboard"], "off", { critical: true }, "verify"),
        step(
          {
            kind: "observe",
            lights: ["low-oil", "overspeed", "ready"],
            set: "alarm-panel",
            lit: [
              { light: "low-oil", span: HERE },
              { light: "overspeed", span: HERE },
            ],
            count: new Map([["red", 2]]),
            ifNot: [{ light: "low-oil", steps: [aside("The oil alarm is blind. Call the chief engineer.")] }],
          },
          { note: "The horn sounds." },
        ),
      ],
    }),
    step({
      kind: "section",
      title: "Start",
      steps: [
        step({
          kind: "hold",
          moves: [{ choice: "each", controls: ["start-key"], written: "start-key", position: "crank", span: HERE }],
          for: { milliseconds: 15000, upTo: true },
          steps: [step({ kind: "do", text: "Listen for knocking" })],
        }),
        step({
          kind: "wait-for",
          condition: { kind: "for", of: is("generator", "ready", "equipment"), milliseconds: 60000, span: HERE },
          within: 180000,
          ifNot: [aside("Does not come up to speed.")],
          steps: [],
        }),
        step({ kind: "check", condition: bar("3 bar"), ifNot: [aside("Turn the key OFF.")] }),
        set(["breaker"], "closed", {
          warning: "The board is live from here on.",
          added: "The manual leaves it to the mate.",
        }),
      ],
    }),
  ]);
}

/** Numbers as a resolver gives them: sections are lettered, steps counted through, what hangs from a step has its number and a letter. */
function numbered(steps: readonly Step[]): readonly Step[] {
  let sections = 0;
  let lines = 0;
  const visit = (list: readonly Step[]): readonly Step[] =>
    list.map((one) => {
      if (one.kind === "section") {
        sections += 1;
        return { ...one, number: String.fromCharCode(64 + sections), steps: visit(one.steps) };
      }
      lines += 1;
      return { ...one, number: String(lines) };
    });
  return visit(steps);
}
