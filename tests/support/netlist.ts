import type { Fault } from "../../src/program/coverage.js";

/** A combinational circuit as `.bench` text has it: `INPUT(1)`, `OUTPUT(22)`, `10 = NAND(1, 3)`, `#` comments. */
export interface Netlist {
  readonly inputs: readonly string[];
  readonly outputs: readonly string[];
  /** In an order in which each comes after what it reads. */
  readonly gates: readonly Gate[];
}

export interface Gate {
  readonly name: string;
  readonly kind: "AND" | "NAND" | "OR" | "NOR" | "NOT" | "BUFF" | "XOR" | "XNOR";
  readonly of: readonly string[];
}

export function readNetlist(text: string): Netlist {
  const lines = text.split("\n").map((line) => line.replace(/#.*/, "").trim());
  const ports = (kind: string) =>
    lines.flatMap((line) => new RegExp(`^${kind}\\s*\\(\\s*(\\S+?)\\s*\\)$`, "i").exec(line)?.[1] ?? []);
  const gates = lines.flatMap((line): Gate[] => {
    const match = /^(\S+)\s*=\s*(\w+)\s*\((.*)\)$/.exec(line);
    if (!match) return [];
    const kind = match[2]!.toUpperCase() === "BUF" ? "BUFF" : match[2]!.toUpperCase();
    return [{ name: match[1]!, kind: kind as Gate["kind"], of: match[3]!.split(",").map((one) => one.trim()) }];
  });
  return { inputs: ports("INPUT"), outputs: ports("OUTPUT"), gates: inOrder(gates) };
}

function inOrder(gates: readonly Gate[]): readonly Gate[] {
  const byName = new Map(gates.map((gate) => [gate.name, gate]));
  const done = new Set<Gate>();
  const visit = (name: string): void => {
    const gate = byName.get(name);
    if (!gate || done.has(gate)) return;
    for (const one of gate.of) visit(one);
    done.add(gate);
  };
  for (const { name } of gates) visit(name);
  return [...done];
}

/** A line, or the branch `from->to` of one, that keeps its value. */
export interface Stuck {
  readonly line: string;
  readonly value: boolean;
}

/** The value of every line for one input vector. */
export function simulate({ inputs, gates }: Netlist, vector: string, stuck?: Stuck): ReadonlyMap<string, boolean> {
  const values = new Map<string, boolean>();
  const put = (name: string, value: boolean): void => {
    values.set(name, stuck?.line === name ? stuck.value : value);
  };
  for (const [index, name] of inputs.entries()) put(name, vector[index] === "1");
  for (const { name, kind, of } of gates) {
    const read = of.map((from) => (stuck?.line === `${from}->${name}` ? stuck.value : values.get(from)!));
    put(name, gateValue(kind, read));
  }
  return values;
}

function gateValue(kind: Gate["kind"], read: readonly boolean[]): boolean {
  const odd = read.filter(Boolean).length % 2 === 1;
  const value = { AND: read.every(Boolean), OR: read.some(Boolean), XOR: odd, NOT: read[0]!, BUFF: read[0]! };
  switch (kind) {
    case "NAND":
      return !value.AND;
    case "NOR":
      return !value.OR;
    case "XNOR":
      return !value.XOR;
    case "NOT":
      return !value.NOT;
    default:
      return value[kind];
  }
}

/**
 * The circuit as switches, named conditions and lights, with a procedure that sets the inputs to each vector in turn and
 * observes every output: file name to YAML text.
 */
export function repositoryOf(netlist: Netlist, vectors: readonly string[]): Readonly<Record<string, string>> {
  const { inputs, outputs, gates } = netlist;
  const lights = outputs.map((name) => `o${name}`);
  const system = [
    "kind: system",
    "id: circuit",
    "title: A circuit as switches and lights",
    "controls:",
    ...inputs.map((name) => `  i${name}: { label: IN ${name}, positions: [off, on] }`),
    "conditions:",
    ...gates.map((gate) => `  g${gate.name}: "${definition(netlist, gate)}"`),
    "lights:",
    ...outputs.map(
      (name, index) => `  ${lights[index]}: { label: OUT ${name}, lit-when: "${reading(netlist, name)}" }`,
    ),
    "light-sets:",
    `  outputs: [${lights.join(", ")}]`,
  ];
  const procedure = [
    "kind: procedure",
    "id: test",
    "title: Apply the vectors",
    "category: normal",
    "steps:",
    ...vectors.flatMap((vector) => {
      const values = simulate(netlist, vector);
      const lit = outputs.flatMap((name, index) => (values.get(name) ? [lights[index]!] : []));
      const sets = inputs.map((name, index) => `i${name}: ${vector[index] === "1" ? "on" : "off"}`);
      return [
        `  - set: { ${sets.join(", ")} }`,
        "  - observe: outputs",
        `    lit: ${lit.length > 0 ? `[${lit.join(", ")}]` : "none"}`,
      ];
    }),
  ];
  return {
    "project.yaml": "kind: project\nformat: 1\ntitle: A circuit\nsources: ['*.yaml']\n",
    "circuit.yaml": `${system.join("\n")}\n`,
    "test.yaml": `${procedure.join("\n")}\n`,
  };
}

function reading({ inputs }: Netlist, name: string): string {
  return inputs.includes(name) ? `i${name} is on` : `g${name}`;
}

function definition(netlist: Netlist, { kind, of }: Gate): string {
  const read = of.map((name) => reading(netlist, name));
  switch (kind) {
    case "AND":
      return read.join(" and ");
    case "NAND":
      return `not (${read.join(" and ")})`;
    case "OR":
      return read.join(" or ");
    case "NOR":
      return `not (${read.join(" or ")})`;
    case "NOT":
      return `not (${read[0]})`;
    case "BUFF":
      return read[0]!;
    case "XOR":
      return exclusive(read, false);
    case "XNOR":
      return exclusive(read, true);
  }
}

/** Two inputs: an exclusive or of more names a line several times, which would be uses that the gate does not have. */
function exclusive(read: readonly string[], negated: boolean): string {
  const [a, b] = read;
  const text = `(${a} and not (${b})) or (${b} and not (${a}))`;
  return negated ? `not (${text})` : text;
}

/** The line of the circuit that a fault is on, and the value it is stuck at: `11/0`, `3->10/1`; of an output's own lamp `22->22/0`. */
export function lineOf({ kind, thing, within, stuck }: Fault): string {
  const value = ["on", "true", "lit"].includes(stuck) ? 1 : 0;
  const name = thing.slice(1);
  if (kind === "light") return `${name}->${name}/${value}`;
  return kind === "use" ? `${name}->${within!.slice(1)}/${value}` : `${name}/${value}`;
}

/** What the lights show for one input vector, output by output. */
export function shown(netlist: Netlist, vector: string, stuck?: Stuck): string {
  const values = simulate(netlist, vector, stuck);
  const seen = netlist.outputs.map((name) => (stuck?.line === `${name}->${name}` ? stuck.value : values.get(name)));
  return seen.map((lit) => (lit ? "1" : "0")).join("");
}
