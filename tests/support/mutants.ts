import type { Slip } from "../../src/program/coverage.js";
import type { Step } from "../../src/program/procedure.js";
import { withInner } from "../../src/program/rebuild.js";

/** Borne in mind where the slip is made, which is no act: a prohibition of what can never be. */
export const MADE = "the slip was made";

/** The steps with the slip in them, by what the slip says of itself; `MADE` stands where it is made. */
export function mutated(steps: readonly Step[], slip: Slip): readonly Step[] {
  const at = steps.findIndex(({ name }) => name === slip.step);
  if (at < 0) {
    return steps.map((step) => (step.kind === "perform" ? step : withInner(step, (inner) => mutated(inner, slip))));
  }
  const step = steps[at]!;
  const mark = markLike(step);
  if (slip.kind === "left out") return steps.toSpliced(at, 1, mark);
  if (slip.kind === "early") return steps.toSpliced(at - 1, 2, mark, step, steps[at - 1]!);
  if (step.kind !== "set") throw new Error("only what is set can stand beside");
  const moves = step.moves.flatMap((move) => {
    if (!move.controls.includes(slip.control!)) return [move];
    if (move.choice === "either")
      return [{ ...move, choice: "each", controls: [slip.control!], position: slip.detail! } as const];
    return move.controls.flatMap((control) => {
      if (control !== slip.control) return [{ ...move, controls: [control] }];
      return slip.kind === "one side" ? [] : [{ ...move, controls: [control], position: slip.detail! }];
    });
  });
  return steps.toSpliced(at, 1, mark, { ...step, moves });
}

function markLike({ number, span, verb }: Step): Step {
  const condition = { kind: "constant", value: false, span } as const;
  return { name: MADE, kind: "prohibit", condition, number, span, verb, by: [], takes: 0, critical: false };
}
