import type { Condition } from "../../program/condition.js";
import type { Procedure, Step } from "../../program/procedure.js";
import type { System } from "../../program/system.js";
import { walkCondition, walkSteps } from "../../program/walk.js";
import { NodeLimit } from "../symbolic/bdd.js";

/** How time is counted in one procedure: a tick divides every stated time. */
export interface Times {
  /** Milliseconds. Zero where no time is stated that a clock is asked about. Clocks run only in sure waits. */
  readonly tick: number;
}

/** Ticks that one stated time may take: each is a place and the value of a clock. */
export const MOST_TICKS = 100_000;

/** Times in milliseconds that are too far apart to count in one tick; what they are asked for is then `unproved`. */
export class TooManyTicks extends NodeLimit {
  constructor(
    readonly time: number,
    readonly tick: number,
  ) {
    super();
  }
}

/** The greatest common divisor of all stated times: waits, delayed changes, `(P) for T`, rests. */
export function timesOf(system: System, procedure: Procedure, conditions: readonly Condition[]): Times {
  const waits = [...walkSteps(procedure.steps)].flatMap(sureTimesOf);
  const changes =
    waits.length === 0
      ? []
      : [...system.equipment.values()].flatMap((thing) =>
          thing.changes.flatMap((change) => (change.takes ? [change.takes.high] : [])),
        );
  const rests = [...system.controls.values()].flatMap((control) => (control.duty?.rest ? [control.duty.rest] : []));
  const held = conditions.flatMap((condition) =>
    [...walkCondition(condition)].flatMap((part) => (part.kind === "for" ? [part.milliseconds] : [])),
  );
  return { tick: [...waits, ...changes, ...rests, ...held].reduce(gcd, 0) };
}

/** The sure times of a step in milliseconds: only these make clocks run. */
function sureTimesOf(step: Step): readonly number[] {
  switch (step.kind) {
    case "wait":
      return [step.milliseconds];
    case "hold":
      return step.for && !step.for.upTo ? [step.for.milliseconds] : [];
    case "repeat":
      return step.every ? [step.every] : [];
    default:
      return [];
  }
}

function gcd(a: number, b: number): number {
  return b === 0 ? a : gcd(b, a % b);
}
