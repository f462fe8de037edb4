import type { Reliance, Reliances } from "../emit/graph/reliance.js";
import type { Procedure } from "../program/procedure.js";
import type { Program } from "../program/program.js";
import { type ReliedOn, type WhyOptions, whyOfSteps } from "../prove/why.js";

/** What the prover finds to rely on each step, as the pictures draw it. */
export function reliancesOf(program: Program, procedure: Procedure, options: WhyOptions): Reliances {
  const whys = whyOfSteps(program, procedure, options);
  return {
    all: whys.flatMap(({ step, breaches }) => breaches.flatMap(({ on }) => drawn(step.name, on))),
    unanswered: whys.filter(({ unproved }) => unproved).length,
  };
}

/** What is said of the procedure as a whole has no box. */
function drawn(step: string, on: ReliedOn): readonly Reliance[] {
  return on.kind === "procedure" ? [] : [{ step, on }];
}
