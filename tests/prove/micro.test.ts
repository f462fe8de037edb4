import { describe, expect, test } from "vitest";
import { proveProcedure } from "../../src/prove/prove.js";
import { interpret } from "../oracle/interpreter.js";
import { type Brief, fromOracle, fromProver, isHint } from "../support/compare.js";
import { MICRO_PROGRAMS, type MicroProgram, worldOf } from "./micro-programs.js";

const rows = MICRO_PROGRAMS.map((program) => [program.name, program] as const);

describe("the interpreter of the semantics on the micro-programs", () => {
  test.each(rows)("%s", (_, program) => {
    const world = worldOf(program);
    const found = fromOracle(interpret(world.program, world.procedure));
    agrees(found, program);
    if (program.also) expect(found.find((each) => !isHint(each))?.also).toEqual(program.also);
  });
});

describe("the prover on the micro-programs", () => {
  const run = (program: MicroProgram) => {
    const world = worldOf(program);
    agrees(fromProver(proveProcedure(world.program, world.procedure).findings), program);
  };
  test.each(rows)("%s", (_, program) => run(program));
});

function agrees(found: readonly Brief[], program: MicroProgram): void {
  expect(found.filter((each) => !isHint(each)).map((each) => each.text)).toEqual([...program.finds].sort());
  const hints = found.filter(isHint).map((each) => each.text);
  for (const hint of program.hints ?? []) expect(hints).toContain(hint);
  for (const hint of program.noHints ?? []) expect(hints).not.toContain(hint);
  if (program.tails) expect(found.find((each) => !isHint(each))?.tails).toEqual(program.tails);
}
