import { invariant } from "../../invariant.js";
import { FALSE } from "../expression.js";
import type { Operation } from "../operation.js";
import type { Transition } from "../transitions.js";
import { EMPTY, type Ref } from "./bdd.js";
import type { Factored } from "./factored.js";
import type { Space } from "./space.js";

/** A stretch of operations, with what is met ahead of each and after the last. */
interface Stretch {
  readonly operations: readonly Operation[];
  readonly met: readonly Factored[];
}

/** One way, step by step: forward with all states that can go it so far, then back with those that come where it is asked for. */
export class Walk {
  /** For each step what leads to its moment, and what comes after it. */
  private readonly steps: (readonly Stretch[])[] = [];
  private come: Factored;
  /** What has come to the beginning of each step. */
  readonly passed: Factored[] = [];

  constructor(
    private readonly space: Space,
    starts: Ref,
  ) {
    const { factoring } = space;
    this.come = factoring.sharpened(factoring.of(starts));
  }

  /** The states that have come this far. */
  get states(): Factored {
    return this.come;
  }

  /** On by a transition; with `toMoment` no further than to the moment itself, those that break among them. */
  go({ operations, broken, rest }: Transition, toMoment: boolean): Factored {
    const { factoring } = this.space;
    this.passed.push(this.come);
    if (operations.length === 0 && rest.length === 0 && broken === FALSE) {
      this.steps.push(STILL);
      return this.come;
    }
    const ahead = this.stretch(this.come, operations);
    const moment = ahead.met.at(-1)!;
    if (toMoment || (rest.length === 0 && broken === FALSE)) {
      this.steps.push([ahead]);
      this.come = toMoment ? moment : factoring.sharpened(moment);
      return this.come;
    }
    const after = this.stretch(factoring.without(moment, this.space.set(broken)), rest);
    this.steps.push([ahead, after]);
    this.come = factoring.sharpened(after.met.at(-1)!);
    return this.come;
  }

  /**
   * The states at the beginning of each step from which the way leads to what is asked for, and that itself: one more than steps.
   * Undefined where no start can go it all.
   */
  into(asked: Ref): readonly Factored[] | undefined {
    const { factoring } = this.space;
    let states = factoring.and(this.come, asked);
    if (states.core === EMPTY) return undefined;
    const sets = [states];
    for (let at = this.steps.length - 1; at >= 0; at--) {
      const stretches = this.steps[at]!;
      for (let index = stretches.length - 1; index >= 0; index--) {
        const { operations, met } = stretches[index]!;
        states = this.space.backThrough(factoring.like(states, met.at(-1)!), operations, met);
      }
      invariant(states.core !== EMPTY, "what has come somewhere has come from somewhere");
      sets.push(states);
    }
    return sets.reverse();
  }

  private stretch(from: Factored, operations: readonly Operation[]): Stretch {
    return { operations, met: this.space.through(from, operations) };
  }
}

const STILL: readonly Stretch[] = [];
