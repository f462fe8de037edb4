import { invariant } from "../../invariant.js";
import type { Expression, Variable } from "../expression.js";
import type { Assignment, Choice, Operation } from "../operation.js";
import { Bdd, EMPTY, FULL, type Ref } from "./bdd.js";

/** What settling means in a space: the immediate changes, and the states in which none can fire. */
export interface Settling {
  readonly choices: readonly Choice[];
  readonly settled: Expression;
}

/**
 * Sets of states over an ordered list of variables. A variable of n values takes the fewest bits that hold them, highest
 * first; spare codes stand for its last value, so no set needs a constraint to be well formed.
 */
export class Space {
  readonly bdd: Bdd;
  private readonly places = new Map<Variable, Place>();
  /** A second place for each variable that settling assigns: its value after the round, on the way back. */
  private readonly twins = new Map<Variable, Place>();
  private readonly compiled = new Map<Expression, Ref>();
  private readonly relations = new Map<Choice, Relation>();
  private readonly sames = new Map<Place, Map<Place, Ref>>();
  private readonly settledSet: Ref;

  constructor(
    readonly variables: readonly Variable[],
    private readonly settling: Settling,
    limit?: number,
    cacheBits?: number,
  ) {
    this.bdd = new Bdd(limit, cacheBits);
    let level = 0;
    for (const variable of variables) {
      const bits = bitsFor(variable.size);
      this.places.set(variable, placeOf(this.bdd, variable, level, bits));
      level += bits;
      if (needsTwin(variable, settling)) {
        this.twins.set(variable, placeOf(this.bdd, variable, level, bits));
        level += bits;
      }
    }
    this.settledSet = this.set(settling.settled);
  }

  has(variable: Variable): boolean {
    return this.places.has(variable);
  }

  /** The states in which the expression holds. */
  set(expression: Expression): Ref {
    const known = this.compiled.get(expression);
    if (known !== undefined) return known;
    const made = this.compile(expression);
    this.compiled.set(expression, made);
    return made;
  }

  value(variable: Variable, value: number): Ref {
    const ref = this.place(variable).values[value];
    invariant(ref !== undefined, `no value ${value} of ${variable.name}`);
    return ref;
  }

  /** Forgets what is known of the variables. */
  forget(set: Ref, variables: readonly Variable[]): Ref {
    return variables.reduce((rest, variable) => this.bdd.exists(rest, this.place(variable).cube), set);
  }

  /** The states that the operations lead to. */
  forward(set: Ref, operations: readonly Operation[]): Ref {
    let states = set;
    for (const operation of operations) {
      if (states === EMPTY) return EMPTY;
      states = this.forwardOne(states, operation);
    }
    return states;
  }

  /** The states from which the operations can lead into the set. */
  backward(set: Ref, operations: readonly Operation[]): Ref {
    let states = set;
    for (let at = operations.length - 1; at >= 0 && states !== EMPTY; at--)
      states = this.backwardOne(states, operations[at]!);
    return states;
  }

  /**
   * The states among `from` from which the operations can lead into the set. Every step back is narrowed to what the way
   * forward met, which keeps the sets small.
   */
  backwardWithin(set: Ref, operations: readonly Operation[], from: Ref): Ref {
    const met: Ref[] = [from];
    for (const operation of operations) met.push(this.forwardOne(met.at(-1)!, operation));
    let states = this.bdd.and(set, met.at(-1)!);
    for (let at = operations.length - 1; at >= 0 && states !== EMPTY; at--) {
      const operation = operations[at]!;
      const before =
        operation.kind === "settle" ? this.settleBackwardWithin(states, met[at]!) : this.backwardOne(states, operation);
      states = this.bdd.and(before, met[at]!);
    }
    return states;
  }

  /** One round of immediate changes, on the states in which some can fire. */
  round(set: Ref): Ref {
    return this.simultaneous(set, this.settling.choices);
  }

  get settled(): Ref {
    return this.settledSet;
  }

  /** Is this one state in the set? `state[variable.index]` is the variable's value. */
  contains(set: Ref, state: ArrayLike<number>): boolean {
    let at = set;
    while (at > FULL) {
      const { variable, shift } = this.bitAt(this.bdd.level(at));
      at = (state[variable.index]! >> shift) & 1 ? this.bdd.high(at) : this.bdd.low(at);
    }
    return at === FULL;
  }

  /** Some state of the set: the least in the order of levels. Variables that it does not depend on are left out. */
  pick(set: Ref): ReadonlyMap<Variable, number> {
    invariant(set !== EMPTY, "an empty set has no state");
    const chosen = new Map<Variable, number>();
    for (let at = set; at > FULL; ) {
      const { variable, shift } = this.bitAt(this.bdd.level(at));
      const low = this.bdd.low(at);
      const bit = low === EMPTY ? 1 : 0;
      chosen.set(variable, (chosen.get(variable) ?? 0) | (bit << shift));
      at = bit === 1 ? this.bdd.high(at) : low;
    }
    for (const [variable, code] of chosen) chosen.set(variable, Math.min(code, variable.size - 1));
    return chosen;
  }

  /** How many valuations of some variables the set holds (its other variables must not matter), as a power of ten. */
  countLog10(set: Ref, variables: readonly Variable[]): number {
    let rest = set;
    let log = 0;
    const others = this.variables.filter((variable) => !variables.includes(variable));
    rest = this.forget(rest, others);
    if (rest === EMPTY) return Number.NEGATIVE_INFINITY;
    const memo = new Map<string, number>();
    const count = (at: Ref, index: number): number => {
      const variable = variables[index];
      if (!variable || at === EMPTY) return at === EMPTY ? 0 : 1;
      const key = `${at} ${index}`;
      const known = memo.get(key);
      if (known !== undefined) return known;
      let sum = 0;
      if (!this.dependsOn(at, variable)) sum = variable.size * count(at, index + 1);
      else
        for (let value = 0; value < variable.size; value++) sum += count(this.restrict(at, variable, value), index + 1);
      memo.set(key, sum);
      return sum;
    };
    log = Math.log10(count(rest, 0));
    return log;
  }

  /** The set with a variable fixed, and the variable then forgotten. */
  restrict(set: Ref, variable: Variable, value: number): Ref {
    const place = this.place(variable);
    return this.bdd.andExists(set, place.values[value]!, place.cube);
  }

  dependsOn(set: Ref, variable: Variable): boolean {
    const place = this.place(variable);
    return this.bdd.support(set).some((level) => level >= place.level && level < place.level + place.bits);
  }

  /** The variables that a set depends on, in order. */
  supportOf(set: Ref): readonly Variable[] {
    const found = new Set<Variable>();
    for (const level of this.bdd.support(set)) found.add(this.bitAt(level).variable);
    return [...found];
  }

  private place(variable: Variable): Place {
    const place = this.places.get(variable);
    invariant(place, `${variable.name} is not in this space`);
    return place;
  }

  private readonly bitTable: { readonly variable: Variable; readonly shift: number }[] = [];

  private bitAt(level: number): { readonly variable: Variable; readonly shift: number } {
    if (this.bitTable.length === 0) {
      for (const [variable, place] of this.places) {
        for (let bit = 0; bit < place.bits; bit++)
          this.bitTable[place.level + bit] = { variable, shift: place.bits - 1 - bit };
      }
    }
    return this.bitTable[level]!;
  }

  private compile(expression: Expression): Ref {
    const { bdd } = this;
    switch (expression.kind) {
      case "constant":
        return expression.value ? FULL : EMPTY;
      case "in":
        return expression.values.reduce((sum, value) => bdd.or(sum, this.value(expression.variable, value)), EMPTY);
      case "not":
        return bdd.not(this.set(expression.of));
      case "and":
        return expression.of.reduce((product, part) => bdd.and(product, this.set(part)), FULL);
      case "or":
        return expression.of.reduce((sum, part) => bdd.or(sum, this.set(part)), EMPTY);
    }
  }

  private forwardOne(states: Ref, operation: Operation): Ref {
    const { bdd } = this;
    switch (operation.kind) {
      case "assume":
        return bdd.and(states, this.set(operation.condition));
      case "assign":
        return this.assign(states, operation);
      case "havoc":
        return bdd.and(this.forget(states, operation.variables), this.set(operation.constraint));
      case "choose":
        return this.choose(states, operation.cases);
      case "settle":
        return this.settleForward(states);
      case "remember": {
        const truth = this.set(operation.truth);
        const yes = bdd.and(bdd.and(states, truth), this.value(operation.variable, 1));
        return bdd.or(yes, bdd.and(bdd.diff(states, truth), this.value(operation.variable, 0)));
      }
      case "copy":
        return bdd.and(states, this.same(operation.of, operation.variable));
      case "forget":
        return this.forget(states, operation.variables);
    }
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

  private same(variable: Variable, copy: Variable): Ref {
    return this.sameValues(this.place(variable), this.place(copy));
  }

  /** Both have the same value; one may have values that the other lacks. */
  private sameValues(one: Place, other: Place): Ref {
    const known = this.sames.get(one)?.get(other);
    if (known !== undefined) return known;
    const made = this.makeSame(one, other);
    const row = this.sames.get(one) ?? new Map<Place, Ref>();
    this.sames.set(one, row.set(other, made));
    return made;
  }

  private makeSame(one: Place, other: Place): Ref {
    return one.values.reduce(
      (same, set, value) => this.bdd.or(same, this.bdd.and(set, other.values[value] ?? EMPTY)),
      EMPTY,
    );
  }

  private assign(states: Ref, { variable, value }: Assignment): Ref {
    const place = this.place(variable);
    return this.bdd.and(this.bdd.exists(states, place.cube), place.values[value]!);
  }

  /** Splits the states by what each choice takes, then makes all assignments. */
  private simultaneous(states: Ref, choices: readonly Choice[], index = 0, taken: readonly Assignment[] = []): Ref {
    if (states === EMPTY) return EMPTY;
    const choice = choices[index];
    if (!choice) return taken.reduce((rest, assignment) => this.assign(rest, assignment), states);
    let rest = states;
    let sum = EMPTY;
    for (const { when, assign } of choice) {
      const truth = this.set(when);
      const hit = this.bdd.and(rest, truth);
      if (hit === EMPTY) continue;
      sum = this.bdd.or(sum, this.simultaneous(hit, choices, index + 1, [...taken, ...assign]));
      rest = this.bdd.diff(rest, truth);
    }
    return this.bdd.or(sum, this.simultaneous(rest, choices, index + 1, taken));
  }

  /** One choice. A clock has a case for each of its values: those are taken in one pass through its twin. */
  private choose(states: Ref, cases: Choice): Ref {
    const twin = cases.length < MANY ? undefined : this.twinOf(cases);
    if (!twin) return this.simultaneous(states, [cases]);
    const { bdd } = this;
    const place = this.place(cases[0]!.assign[0]!.variable);
    const { relation, cube } = this.relationOf(cases);
    const next = bdd.andExists(states, relation, place.cube);
    return bdd.andExists(next, this.sameValues(place, twin), cube);
  }

  private beforeChoose(states: Ref, cases: Choice): Ref {
    const twin = cases.length < MANY ? undefined : this.twinOf(cases);
    if (!twin) return this.beforeChoice(states, cases);
    const { bdd } = this;
    const place = this.place(cases[0]!.assign[0]!.variable);
    const { relation, cube } = this.relationOf(cases);
    return bdd.andExists(bdd.andExists(states, this.sameValues(place, twin), place.cube), relation, cube);
  }

  /** The twin of the one variable that all cases assign. */
  private twinOf(cases: Choice): Place | undefined {
    const variable = cases[0]!.assign[0]?.variable;
    const alone = cases.every((one) => one.assign.length === 1 && one.assign[0]!.variable === variable);
    return variable && alone ? this.twins.get(variable) : undefined;
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
    for (const choice of this.settling.choices) {
      const variable = choice[0]!.assign[0]!.variable;
      rest = this.bdd.andExists(
        rest,
        this.sameValues(this.place(variable), this.twins.get(variable)!),
        this.place(variable).cube,
      );
    }
    for (const choice of this.settling.choices) {
      const { relation, cube } = this.relationOf(choice);
      rest = this.bdd.andExists(rest, relation, cube);
    }
    return rest;
  }

  private relationOf(choice: Choice): Relation {
    const present = this.relations.get(choice);
    if (present) return present;
    const made = this.makeRelation(choice);
    this.relations.set(choice, made);
    return made;
  }

  private makeRelation(choice: Choice): Relation {
    const { bdd } = this;
    const variable = choice[0]!.assign[0]!.variable;
    const twin = this.twins.get(variable)!;
    let rest = FULL;
    let relation = EMPTY;
    for (const { when, assign } of choice) {
      const truth = this.set(when);
      relation = bdd.or(relation, bdd.and(bdd.and(rest, truth), twin.values[assign[0]!.value]!));
      rest = bdd.diff(rest, truth);
    }
    return { relation: bdd.or(relation, bdd.and(rest, this.sameValues(this.place(variable), twin))), cube: twin.cube };
  }

  /** Rounds until nothing fires. States that come back on themselves for ever are dropped: that path ends. */
  private settleForward(states: Ref): Ref {
    const { bdd } = this;
    let done = bdd.and(states, this.settledSet);
    let moving = bdd.diff(states, this.settledSet);
    const seen = new Set<Ref>();
    while (moving !== EMPTY && !seen.has(moving)) {
      seen.add(moving);
      const after = this.round(moving);
      done = bdd.or(done, bdd.and(after, this.settledSet));
      moving = bdd.diff(after, this.settledSet);
    }
    return done;
  }

  /** The same among some states: only the changes that fire from there are taken back. */
  private settleBackwardWithin(states: Ref, from: Ref): Ref {
    const { bdd } = this;
    const rounds: Ref[] = [];
    const seen = new Set<Ref>();
    for (let moving = bdd.diff(from, this.settledSet); moving !== EMPTY && !seen.has(moving); ) {
      seen.add(moving);
      rounds.push(moving);
      moving = bdd.diff(this.round(moving), this.settledSet);
    }
    const target = bdd.and(states, this.settledSet);
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
      choice.some((one) => bdd.and(moving, this.set(one.when)) !== EMPTY),
    );
    if (firing.length === 1) return this.beforeChoice(states, firing[0]!);
    let rest = states;
    for (const choice of firing) {
      const variable = choice[0]!.assign[0]!.variable;
      rest = bdd.andExists(
        rest,
        this.sameValues(this.place(variable), this.twins.get(variable)!),
        this.place(variable).cube,
      );
    }
    for (const choice of firing) {
      const { relation, cube } = this.relationOf(choice);
      rest = bdd.andExists(bdd.and(rest, moving), relation, cube);
    }
    return rest;
  }

  private settleBackward(states: Ref): Ref {
    const { bdd } = this;
    let sum = bdd.and(states, this.settledSet);
    const unsettled = bdd.not(this.settledSet);
    for (let fresh = sum; fresh !== EMPTY; ) {
      fresh = bdd.diff(bdd.and(this.beforeRoundOf(fresh), unsettled), sum);
      sum = bdd.or(sum, fresh);
    }
    return sum;
  }
}

/** How a round takes the present values to the twin of one variable. */
interface Relation {
  readonly relation: Ref;
  readonly cube: Ref;
}

interface Place {
  readonly level: number;
  readonly bits: number;
  readonly cube: Ref;
  readonly values: readonly Ref[];
}

/** From this many cases on a choice is worth a relation of its own. */
const MANY = 4;

function needsTwin(variable: Variable, settling: Settling): boolean {
  if (variable.role.kind === "memory" && variable.size > MANY) return true;
  return settling.choices.some((choice) => choice[0]?.assign[0]?.variable === variable);
}

function bitsFor(size: number): number {
  return Math.max(1, Math.ceil(Math.log2(size)));
}

function placeOf(bdd: Bdd, variable: Variable, level: number, bits: number): Place {
  let cube = FULL;
  for (let bit = bits - 1; bit >= 0; bit--) cube = bdd.node(level + bit, EMPTY, cube);
  const codes = (from: number, to: number): Ref => {
    let sum = EMPTY;
    for (let code = from; code <= to; code++) {
      let path = FULL;
      for (let bit = bits - 1; bit >= 0; bit--) {
        const one = (code >> (bits - 1 - bit)) & 1;
        path = one ? bdd.node(level + bit, EMPTY, path) : bdd.node(level + bit, path, EMPTY);
      }
      sum = bdd.or(sum, path);
    }
    return sum;
  };
  const values = Array.from({ length: variable.size }, (_, value) =>
    value === variable.size - 1 ? codes(value, (1 << bits) - 1) : codes(value, value),
  );
  return { level, bits, cube, values };
}
