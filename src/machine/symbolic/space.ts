import type { Variable } from "../expression.js";
import type { Choice, Operation, Settling } from "../operation.js";
import { EMPTY, FULL, type Ref } from "./bdd.js";
import { type Factored, Factoring } from "./factored.js";
import { Places } from "./places.js";

/** Sets of states as diagrams, carried forward and backward through operations. */
export class Space extends Places {
  /** The way forward, with what is fixed taken out of the diagrams. */
  readonly factoring: Factoring;

  constructor(variables: readonly Variable[], settling: Settling, limit?: number, reserve?: number) {
    super(variables, settling, limit, reserve);
    this.factoring = new Factoring(this);
  }

  /** The states that the operations lead to. */
  forward(set: Ref, operations: readonly Operation[]): Ref {
    if (operations.length === 0) return set;
    return this.factoring.plain(this.factoring.forward(this.factoring.of(set), operations));
  }

  /** One round of immediate changes, on the states in which some can fire. */
  round(set: Ref): Ref {
    return this.factoring.plain(this.factoring.round(this.factoring.of(set)));
  }

  /** The states from which the operations can lead into the set. */
  backward(set: Ref, operations: readonly Operation[]): Ref {
    let states = set;
    for (let at = operations.length - 1; at >= 0 && states !== EMPTY; at--)
      states = this.backwardOne(states, operations[at]!);
    return states;
  }

  /** The states among `from` from which the operations can lead into the set. */
  backwardWithin(set: Ref, operations: readonly Operation[], from: Ref): Ref {
    return this.backAlong(set, operations, this.metAlong(from, operations));
  }

  /** What the way forward from some states meets ahead of each operation, and after the last. */
  metAlong(from: Ref, operations: readonly Operation[]): readonly Ref[] {
    const { factoring } = this;
    const met: Ref[] = [from];
    let ahead = factoring.of(from);
    for (const operation of operations) {
      ahead = factoring.forward(ahead, [operation]);
      met.push(factoring.plain(ahead));
    }
    return met;
  }

  /** The way back into what was met: every step is narrowed to that, which keeps the sets small. */
  backAlong(set: Ref, operations: readonly Operation[], met: readonly Ref[]): Ref {
    let states = this.bdd.and(set, met.at(-1)!);
    for (let at = operations.length - 1; at >= 0 && states !== EMPTY; at--) {
      const operation = operations[at]!;
      const before =
        operation.kind === "settle" ? this.settleBackwardWithin(states, met[at]!) : this.backwardOne(states, operation);
      states = this.bdd.and(before, met[at]!);
    }
    return states;
  }

  /** What the way of some states through operations meets: ahead of each, and after the last. */
  through(from: Factored, operations: readonly Operation[]): readonly Factored[] {
    const met = [from];
    for (const operation of operations) met.push(this.factoring.forwardOne(met.at(-1)!, operation));
    return met;
  }

  /** The states at the beginning of such a way that come into a part of its end. */
  backThrough(part: Factored, operations: readonly Operation[], met: readonly Factored[]): Factored {
    const { factoring } = this;
    let states = part;
    for (let at = operations.length - 1; at >= 0; at--) {
      const [operation, from, after] = [operations[at]!, met[at]!, met[at + 1]!];
      states =
        factoring.back(states, operation, from, after) ??
        factoring.as(
          from,
          this.backAlong(factoring.plain(states), [operation], [factoring.plain(from), factoring.plain(after)]),
        );
    }
    return states;
  }

  private backwardOne(states: Ref, operation: Operation): Ref {
    const { bdd } = this;
    switch (operation.kind) {
      case "assume":
        return bdd.and(states, this.set(operation.condition));
      case "assign":
        return this.restrict(states, operation.variable, operation.value);
      case "havoc":
        return this.forget(bdd.and(states, this.set(operation.constraint)), operation.variables);
      case "choose":
        return this.beforeChoose(states, operation.cases);
      case "settle":
        return this.settleBackward(states);
      case "remember": {
        const truth = this.set(operation.truth);
        return bdd.ite(
          truth,
          this.restrict(states, operation.variable, 1),
          this.restrict(states, operation.variable, 0),
        );
      }
      case "copy":
        return bdd.andExists(states, this.same(operation.of, operation.variable), this.place(operation.variable).cube);
      case "forget":
        return states;
    }
  }

  private beforeChoose(states: Ref, cases: Choice): Ref {
    const passes = this.passesOf(cases);
    if (!passes) return this.beforeChoice(states, cases);
    const [to, back] = passes;
    return this.bdd.andExists(this.bdd.andExists(states, back.relation, to.cube), to.relation, back.cube);
  }

  /** Where one choice leads into the set. */
  private beforeChoice(states: Ref, choice: Choice): Ref {
    const { bdd } = this;
    let rest = FULL;
    let sum = EMPTY;
    for (const { when, assign } of choice) {
      const truth = this.set(when);
      const before = assign.reduceRight((set, { variable, value }) => this.restrict(set, variable, value), states);
      sum = bdd.or(sum, bdd.and(bdd.and(rest, truth), before));
      rest = bdd.diff(rest, truth);
    }
    return bdd.or(sum, bdd.and(rest, states));
  }

  /** The states that one round takes into the set: its variables are renamed to their twins, which the changes then fix. */
  beforeRoundOf(states: Ref): Ref {
    let rest = states;
    for (const choice of this.settling.choices) rest = this.toTwin(rest, choice[0]!.assign[0]!.variable);
    for (const choice of this.settling.choices) {
      const { relation, cube } = this.relationOf(choice);
      rest = this.bdd.andExists(rest, relation, cube);
    }
    return rest;
  }

  /** The same among some states: only the changes that fire from there are taken back. */
  private settleBackwardWithin(states: Ref, from: Ref): Ref {
    const { bdd } = this;
    const rounds: Ref[] = [];
    const seen = new Set<Ref>();
    for (let moving = bdd.diff(from, this.settled); moving !== EMPTY && !seen.has(moving); ) {
      seen.add(moving);
      rounds.push(moving);
      moving = bdd.diff(this.round(moving), this.settled);
    }
    const target = bdd.and(states, this.settled);
    let into = target;
    for (const moving of rounds.reverse()) {
      const before = bdd.and(this.beforeRoundFrom(into, moving), moving);
      into = bdd.or(target, before);
    }
    return bdd.and(into, from);
  }

  /** The states of `moving` that one round takes into the set. */
  private beforeRoundFrom(states: Ref, moving: Ref): Ref {
    const { bdd } = this;
    const firing = this.settling.choices.filter((choice) =>
      choice.some((one) => bdd.meets(moving, this.set(one.when))),
    );
    if (firing.length === 1) return this.beforeChoice(states, firing[0]!);
    let rest = states;
    for (const choice of firing) rest = this.toTwin(rest, choice[0]!.assign[0]!.variable);
    for (const choice of firing) {
      const { relation, cube } = this.relationOf(choice);
      rest = bdd.andExists(bdd.and(rest, moving), relation, cube);
    }
    return rest;
  }

  private settleBackward(states: Ref): Ref {
    const { bdd } = this;
    let sum = bdd.and(states, this.settled);
    const unsettled = bdd.not(this.settled);
    for (let fresh = sum; fresh !== EMPTY; ) {
      fresh = bdd.diff(bdd.and(this.beforeRoundOf(fresh), unsettled), sum);
      sum = bdd.or(sum, fresh);
    }
    return sum;
  }
}
