import type { Reliance, Reliances } from "../../../src/emit/graph/reliance.js";
import type { Procedure } from "../../../src/program/procedure.js";
import { walkSteps } from "../../../src/program/walk.js";

/** Each step relies on the one before it; what really does is for the prover to say, and takes longer. */
export function chainOf({ steps }: Procedure): Reliances {
  const names = [...walkSteps(steps)].filter(({ kind }) => kind !== "section").map(({ name }) => name);
  const all = names.flatMap((name, index): Reliance[] => {
    const before = names[index - 1];
    return before === undefined ? [] : [{ step: before, on: { kind: "step", step: name } }];
  });
  return { all, unanswered: 0 };
}
