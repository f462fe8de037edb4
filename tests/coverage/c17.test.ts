import { expect, test } from "vitest";
import { buildModel } from "../../src/machine/model.js";
import type { FaultRow } from "../../src/program/coverage.js";
import { contextOf } from "../../src/prove/context.js";
import { faultsOnTail } from "../../src/prove/coverage/reveal.js";
import { loadProgram } from "../support/load.js";
import { lineOf, type Netlist, readNetlist, repositoryOf, shown } from "../support/netlist.js";

/** ISCAS-85 circuit c17 (Brglez and Fujiwara 1985). */
const C17 = readNetlist(`
INPUT(1)
INPUT(2)
INPUT(3)
INPUT(6)
INPUT(7)
OUTPUT(22)
OUTPUT(23)
10 = NAND(1, 3)
11 = NAND(3, 6)
16 = NAND(2, 11)
19 = NAND(11, 7)
22 = NAND(10, 16)
23 = NAND(16, 19)
`);

/**
 * Its 22 collapsed classes of single stuck-at faults (34 lines and branches), each with the vectors that reveal it: bit n
 * stands for the vector that is n in binary, inputs 1 2 3 6 7. The counts are the published ones; the vectors were
 * recomputed by simulation.
 */
const CLASSES: readonly (readonly [faults: string, vectors: number])[] = [
  ["1/0 10/1 3->10/0", 0xc0f00000],
  ["1/1", 0x0000c0f0],
  ["11->16/0 16/1 2/0", 0x1f003f00],
  ["2/1", 0x001f003f],
  ["3/0", 0xc0f0c080],
  ["3/1", 0x0c0f0c08],
  ["11/1 3->11/0 6/0", 0xc080c080],
  ["6/1", 0x30203020],
  ["11->19/0 19/1 7/0", 0x002a002a],
  ["7/1", 0x00150015],
  ["10/0 16->22/0 22/1", 0x000fc0ff],
  ["11/0", 0x3f2a3f2a],
  ["16/0", 0xc0dfc0ff],
  ["16->23/0 19/0 23/1", 0xc0d5c0d5],
  ["22/0", 0xfff03f00],
  ["23/0", 0x3f2a3f2a],
  ["3->10/1", 0x000f0000],
  ["3->11/1", 0x0c080c08],
  ["11->16/1", 0xc000c000],
  ["11->19/1", 0x80808080],
  ["16->22/1", 0x0f003f00],
  ["16->23/1", 0x15001500],
];

const VECTORS = Array.from({ length: 32 }, (_, number) => number.toString(2).padStart(5, "0"));
const ALL = (1 << CLASSES.length) - 1;
const REVEALED_BY = VECTORS.map((_, vector) =>
  CLASSES.reduce((set, [, vectors], index) => ((vectors >>> vector) & 1 ? set | (1 << index) : set), 0),
);

function rowsFor(netlist: Netlist, vectors: readonly string[]): readonly FaultRow[] {
  const { program, findings } = loadProgram(repositoryOf(netlist, vectors));
  expect(findings.filter(({ severity }) => severity === "error")).toEqual([]);
  const [tail] = program.systems.get("circuit")!.tails;
  const procedure = program.procedures.get("test")!;
  const model = buildModel(program, program.systems.get("circuit")!, procedure, tail!);
  return faultsOnTail(contextOf(program, procedure, model, {}), tail!);
}

function share(rows: readonly FaultRow[]): number {
  return rows.filter(({ revealed }) => revealed === "always").length / rows.length;
}

test.each(VECTORS)("the vector %s of c17 reveals the classes that the table of 1985 has", (vector) => {
  const verdicts = new Map(rowsFor(C17, [vector]).map(({ fault, revealed }) => [lineOf(fault), revealed]));
  expect(verdicts.size).toBe(34 + 4);
  for (const [faults, vectors] of CLASSES) {
    const expected = (vectors >>> Number.parseInt(vector, 2)) & 1 ? "always" : "never";
    for (const fault of faults.split(" ")) expect([fault, verdicts.get(fault)]).toEqual([fault, expected]);
  }
});

test("the ten smallest complete tests of c17 reveal every fault, and no three vectors do", () => {
  const complete: string[][] = [];
  for (let a = 0; a < 32; a++)
    for (let b = a + 1; b < 32; b++)
      for (let c = b + 1; c < 32; c++) {
        const three = REVEALED_BY[a]! | REVEALED_BY[b]! | REVEALED_BY[c]!;
        expect(three).not.toBe(ALL);
        for (let d = c + 1; d < 32; d++)
          if ((three | REVEALED_BY[d]!) === ALL) complete.push([VECTORS[a]!, VECTORS[b]!, VECTORS[c]!, VECTORS[d]!]);
      }
  expect(complete).toHaveLength(10);
  for (const vectors of complete) {
    expect(share(rowsFor(C17, vectors))).toBe(1);
    for (const left of vectors)
      expect(
        share(
          rowsFor(
            C17,
            vectors.filter((one) => one !== left),
          ),
        ),
      ).toBeLessThan(1);
  }
});

test("of small circuits drawn at random every fault comes out as simulation has it", () => {
  const random = generator(17);
  for (let round = 0; round < 12; round++) {
    const netlist = randomNetlist(random, { inputs: 4, gates: 9, outputs: 2 });
    const all = Array.from({ length: 16 }, (_, number) => number.toString(2).padStart(4, "0"));
    const vectors = all.filter(() => random() < 0.25);
    if (vectors.length === 0) continue;
    for (const { fault, revealed } of rowsFor(netlist, vectors)) {
      const stuck = { line: lineOf(fault).split("/")[0]!, value: lineOf(fault).endsWith("1") };
      const shows = (vector: string) => shown(netlist, vector) !== shown(netlist, vector, stuck);
      const expected = vectors.some(shows) ? "always" : all.some(shows) ? "never" : "apart";
      expect([fault.id, revealed]).toEqual([fault.id, expected]);
    }
  }
});

function randomNetlist(
  random: () => number,
  size: { readonly inputs: number; readonly gates: number; readonly outputs: number },
): Netlist {
  const inputs = Array.from({ length: size.inputs }, (_, index) => `${index + 1}`);
  const names = [...inputs];
  const kinds = ["AND", "NAND", "OR", "NOR", "NOT", "NAND"];
  const lines = Array.from({ length: size.gates }, (_, index) => {
    const kind = kinds[Math.floor(random() * kinds.length)]!;
    const recent = () => names[names.length - 1 - Math.floor(random() * Math.min(names.length, 8))]!;
    const of = kind === "NOT" ? [recent()] : [...new Set([recent(), recent()])];
    const name = `${100 + index}`;
    names.push(name);
    return `${name} = ${of.length === 1 ? "NOT" : kind}(${of.join(", ")})`;
  });
  const outputs = names.slice(-size.outputs);
  return readNetlist(
    [...inputs.map((name) => `INPUT(${name})`), ...outputs.map((name) => `OUTPUT(${name})`), ...lines].join("\n"),
  );
}

/** A multiplicative congruential generator (Park and Miller 1988): the same numbers on every machine. */
function generator(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state * 48271) % 2147483647;
    return state / 2147483647;
  };
}
