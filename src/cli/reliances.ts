import type { Reliance, Reliances } from "../emit/graph/reliance.js";
import type { Procedure, Step } from "../program/procedure.js";
import type { Program } from "../program/program.js";
import { innerSteps, walkSteps } from "../program/walk.js";
import { type ReliedOn, type StepWhy, type WhyOptions, whyOfSteps } from "../prove/why.js";

/**
 * What the prover finds to rely on each step, as the pictures draw it: where the same relies on a step and on what it holds, the inner one is
 * drawn, but a check rather than the way out of it.
 */
export function reliancesOf(program: Program, procedure: Procedure, options: WhyOptions): Reliances {
  const whys = whyOfSteps(program, procedure, { ...options, verdictsOnly: true });
  return {
    all: whys.flatMap((why) => drawnOf(why, whys)),
    unanswered: whys.filter(({ unproved }) => unproved).length,
  };
}

function drawnOf({ step, breaches }: StepWhy, whys: readonly StepWhy[]): readonly Reliance[] {
  const inside = new Set(innerSteps(step).flatMap((steps) => [...walkSteps(steps)]));
  const others = whys.filter((other) =>
    isWayOut(step) ? walksTo(other.step, step) : inside.has(other.step) && !isWayOut(other.step),
  );
  const told = new Set(others.flatMap((other) => other.breaches.map(({ on }) => JSON.stringify(on))));
  return breaches.flatMap(({ on }) => (told.has(JSON.stringify(on)) ? [] : drawn(step.name, on)));
}

function isWayOut({ kind }: Step): boolean {
  return kind === "set-aside" || kind === "go-to" || kind === "finish";
}

function walksTo(outer: Step, inner: Step): boolean {
  return outer !== inner && [...walkSteps([outer])].includes(inner);
}

/** What is said of the procedure as a whole has no box. */
function drawn(step: string, on: ReliedOn): readonly Reliance[] {
  return on.kind === "procedure" ? [] : [{ step, on }];
}
