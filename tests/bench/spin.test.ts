import { expect, test } from "vitest";
import { buildModel } from "../../src/machine/model.js";
import { contextOf } from "../../src/prove/context.js";
import { proveProgram } from "../../src/prove/prove.js";
import { proveRule } from "../../src/prove/rules.js";
import { type Micro, micro, set, verify, when } from "../support/micro.js";
import { partOf } from "../support/promela/model.js";
import { runSpin } from "../support/spin.js";

/**
 * Twelve three-way switches that may stand anywhere, a breaker that is held in by three of them, a card that goes through them
 * all, and a rule that holds: what SPIN's verifier takes for it (compiled with -O2, without making and compiling it) beside the prover in a
 * warm process. The project asks for at least 500 times.
 */
const AIM = 500;

test("SPIN's verifier beside the prover on twelve three-way switches", { timeout: 600_000 }, () => {
  const world = twelve();
  const { hits, states, milliseconds } = runSpin([partOf(0, world.program, world.procedure)], "-O2");
  expect([...hits[0]!]).toEqual([]);
  const rule = median(() => expect(verdictOf(world)).toBe("holds"));
  const everything = median(() => proveProgram(world.program));
  const times = (own: number) => `${own.toFixed(1)} ms, ${Math.round(milliseconds / own)} times`;
  console.info(
    `SPIN's verifier ${Math.round(milliseconds)} ms (${states} states); the prover for the same rule ${times(rule)}; for all that it asks ${times(everything)} (medians of 21)`,
  );
  expect(milliseconds / rule).toBeGreaterThanOrEqual(AIM);
});

function verdictOf({ program, procedure, system }: Micro): string {
  const model = buildModel(program, system, procedure, system.tails[0]!);
  return proveRule(contextOf(program, procedure, model, {}), model.rules[0]!).verdict;
}

function median(work: () => void): number {
  const times = Array.from({ length: 21 }, () => {
    const began = performance.now();
    work();
    return performance.now() - began;
  });
  return times.sort((a, b) => a - b)[10]!;
}

function twelve(): Micro {
  const switches = Array.from({ length: 12 }, (_, index) => `c${index}`);
  const lines = [
    ...switches.map((one) => `ctl ${one}: off low high`),
    "eq breaker: apart shut; apart>shut when c0 is high and c4 is low and c8 is not off; shut>apart when c0 is off",
    "light amber on: breaker is shut and c11 is high",
    "rule r: require c4 is low and c8 is low when breaker is shut and c0 is high",
  ];
  const steps = [
    verify("c0 off"),
    ...switches.slice(1, 6).map((one) => verify(`${one} low`)),
    when("c6 is high", [set("c7 off"), set("c6 low")], [set("c9 high")]),
    ...switches.slice(7, 12).map((one) => verify(`${one} low`)),
    set("c0 high"),
    set("c11 high"),
  ];
  return micro(lines.join("\n"), { begins: ["breaker is apart"], steps });
}
