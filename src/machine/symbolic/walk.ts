import { invariant } from "../../invariant.js";
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
  go(transition: Transition, toMoment: boolean): Factored {
    const { factoring } = this.space;
    const ahead = this.stretch(this.come, transition.operations);
    const moment = ahead.met.at(-1)!;
    if (toMoment) {
      this.steps.push([ahead]);
      this.come = moment;
      return moment;
    }
    const rest = this.stretch(factoring.without(moment, this.space.set(transition.broken)), transition.rest);
    this.steps.push([ahead, rest]);
    this.come = factoring.sharpened(rest.met.at(-1)!);
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
    for (const stretches of this.steps.toReversed()) {
      for (const { operations, met } of stretches.toReversed())
        states = this.space.backThrough(factoring.like(states, met.at(-1)!), operations, met);
      invariant(states.core !== EMPTY, "what has come somewhere has come from somewhere");
      sets.unshift(states);
    }
    return sets;
  }

  private stretch(from: Factored, operations: readonly Operation[]): Stretch {
    return { operations, met: this.space.through(from, operations) };
  }
}
