import { describe, expect, test } from "vitest";
import { interpret } from "../oracle/interpreter.js";
import { fromOracle, isHint } from "../support/compare.js";
import { MICRO_PROGRAMS, worldOf } from "./micro-programs.js";

describe("the interpreter of the semantics on the micro-programs", () => {
  test.each(MICRO_PROGRAMS.map((program) => [program.name, program] as const))("%s", (_, program) => {
    const { program: world, procedure } = worldOf(program);
    const found = fromOracle(interpret(world, procedure));
    expect(found.filter((each) => !isHint(each)).map((each) => each.text)).toEqual([...program.finds].sort());
    const hints = found.filter(isHint).map((each) => each.text);
    for (const hint of program.hints ?? []) expect(hints).toContain(hint);
    for (const hint of program.noHints ?? []) expect(hints).not.toContain(hint);
    if (program.also) expect(found.find((each) => !isHint(each))?.also).toEqual(program.also);
    if (program.tails) expect(found.find((each) => !isHint(each))?.tails).toEqual(program.tails);
  });
});
