import type { Program } from "../../src/program/program.js";
import type { System } from "../../src/program/system.js";
import { loadProgram } from "../support/load.js";

/** Blocks of YAML put into a small repository: each is a whole top-level key of its file, or steps or rules without their key. */
export interface Blocks {
  readonly system?: string;
  readonly rules?: string;
  readonly steps?: string;
  readonly procedure?: string;
  readonly files?: Readonly<Record<string, string>>;
}

export const BASE = `kind: system
id: plant
title: Test plant (fictional)
fit:
  heater: [fitted, absent]
fleet:
  Auk: { heater: fitted }
  Tern: { heater: absent }
outside:
  shore: { states: [absent, connected], shown: socket lamp }
gauges:
  tank: { label: TANK, sides: [port, starboard], unit: L, range: 0 to 800, normal: 200 to 600 }
  oil: { label: OIL, unit: bar, range: 0 to 8, normal: 3 to 4.5, moves: always }
controls:
  bus: { label: BUS, positions: [off, on], guard-holds: on }
  pump: { label: PUMP, sides: { port: "1", starboard: "2" }, positions: [off, on] }
  key: { label: KEY, positions: { off: OFF, run: RUN, crank: START }, springs: { crank: run } }
  heat: { label: HEAT, positions: [off, on], fitted: heater is fitted }
  valve: { label: VALVE, sides: [port, starboard], positions: [closed, open], guard-holds: closed }
conditions:
  power: bus is on
  running: { label: It runs, sides: [port, starboard], means: pump.side is on and power }
equipment:
  motor:
    label: Motor
    states: [still, turning, tripped]
    changes:
      - { from: still, to: turning, when: key is crank }
      - { from: turning, to: still, takes: 3 s to 12 s }
      - { from: [still, turning], to: tripped, when: anytime }
lights:
  ready: { label: READY, in: key, colour: green, lit-when: motor is turning }
  low: { label: LOW, sides: [port, starboard], colour: amber, lit-when: pump.side is off }
  hot: { label: HOT, colour: white, fitted: heater is fitted, lit-when: heat is on }
  spare: { label: SPARE, colour: blue }
groups:
  warmers: [heat, pump]
light-sets:
  board: [ready, low, hot]
`;

/** A repository: the plant with these blocks after it, one card with these steps, and these rules. */
export function repository({ system = "", rules, steps, procedure = "", files = {} }: Blocks): Record<string, string> {
  return {
    "plant.yaml": BASE + block(system),
    "card.yaml": `kind: procedure\nid: card\ntitle: Card\ncategory: normal\n${block(procedure)}steps:\n${block(steps ?? "- do: Look", "  ")}`,
    ...(rules === undefined ? {} : { "rules.yaml": `kind: rules\nrules:\n${block(rules, "  ")}` }),
    ...files,
  };
}

/** The program of a repository that must have no fault. */
export function programOf(blocks: Blocks): Program {
  const files = repository(blocks);
  const { program, findings } = loadProgram(files);
  if (findings.length > 0) throw new Error(findings.map(({ code, message }) => `${code}: ${message}`).join("\n"));
  return program;
}

export function systemOf(blocks: Blocks): System {
  return programOf(blocks).systems.get("plant")!;
}

/** Every finding of a repository as `code at "the words under its caret": message`. */
export function complaintsOf(blocks: Blocks): string[] {
  return complaintsAbout(repository(blocks));
}

export function complaintsAbout(files: Readonly<Record<string, string>>): string[] {
  return loadProgram(files).findings.map(({ code, at, message }) => {
    return `${code} at "${at.file.text.slice(at.start, at.end)}": ${message}`;
  });
}

function block(text: string, indent = ""): string {
  const lines = text.split("\n").filter((line) => line.trim() !== "");
  const shared = Math.min(...lines.map((line) => line.length - line.trimStart().length));
  return lines.map((line) => `${indent}${line.slice(shared)}\n`).join("");
}
