import { unreachable } from "../../invariant.js";
import type { Variable } from "../expression.js";
import type { Assignment, Choice, Operation, Settling } from "../operation.js";
import { EMPTY, FULL, type Ref } from "./bdd.js";
import { type Bits, OPEN, type Place, type Places } from "./places.js";

/**
 * A set of states, with what is the same in all of them taken out of its diagram: bit by bit, as `0`, `1`, or `OPEN` where
 * the diagram decides. The diagram depends on open bits only. One set can be written in several ways.
 */
export interface Factored {
  readonly fixed: Fixed;
  readonly core: Ref;
}

/** Never changed once it is in a set, and one for equal bits; its number stands for it in the cache of results. */
interface Fixed {
  readonly id: number;
  readonly bits: Uint8Array;
  /** Another with the same hash. */
  readonly next: Fixed | undefined;
}

/**
 * Carries sets forward. A line of a card that sets a handle puts it into the part that is taken out, where it costs nothing
 * from then on: what is left to the diagrams is only what is not known.
 */
export class Factoring {
  readonly none: Factored;
  readonly #places: Places;
  readonly #open: Fixed;
  /** By the hash of the bits. */
  readonly #known = new Map<number, Fixed>();
  #ids = 0;
  /** Where a row is made up before it is known whether there is one like it. */
  readonly #draft: Uint8Array;
  /** Diagrams in which nothing is the same in all states. */
  readonly #dull = new Set<Ref>();
  /** The same two sets are often joined in several places, one after the other. */
  #lastMeet: { readonly a: Fixed; readonly b: Fixed; readonly meet: Fixed } | undefined;

  constructor(places: Places) {
    this.#places = places;
    this.#draft = new Uint8Array(places.levels).fill(OPEN);
    this.#open = this.#fix(this.#draft);
    this.none = { fixed: this.#open, core: EMPTY };
  }

  /** The set of a diagram, nothing taken out yet. */
  of(states: Ref): Factored {
    return { fixed: this.#open, core: states };
  }

  /** The diagram of the set. */
  plain({ fixed, core }: Factored): Ref {
    if (core === EMPTY) return EMPTY;
    return this.#places.bdd.and(core, this.#literals(fixed, this.#open));
  }

  or(a: Factored, b: Factored): Factored {
    if (a.core === EMPTY) return b;
    if (b.core === EMPTY || a === b) return a;
    const fixed = this.#meet(a.fixed, b.fixed);
    return { fixed, core: this.#places.bdd.or(this.#lift(a, fixed), this.#lift(b, fixed)) };
  }

  /** What is in `a` and not in `b`. */
  diff(a: Factored, b: Factored): Factored {
    if (a.core === EMPTY || b.core === EMPTY) return a;
    if (a.fixed === b.fixed) return { fixed: a.fixed, core: this.#places.bdd.diff(a.core, b.core) };
    if (this.#areApart(a.fixed, b.fixed)) return a;
    const { bdd } = this.#places;
    const { fixed } = a;
    const shared = this.#literals(b.fixed, fixed);
    const inside = bdd.diffWithin(bdd.and(a.core, shared), b.core, fixed.bits, fixed.id);
    return { fixed, core: shared === FULL ? inside : bdd.or(inside, bdd.diff(a.core, shared)) };
  }

  /** The part of the set that lies in a diagram's. */
  and({ fixed, core }: Factored, states: Ref): Factored {
    return { fixed, core: this.#places.bdd.andWithin(core, states, fixed.bits, fixed.id) };
  }

  /** The part of the set that lies outside a diagram's. */
  without({ fixed, core }: Factored, states: Ref): Factored {
    return { fixed, core: this.#places.bdd.diffWithin(core, states, fixed.bits, fixed.id) };
  }

  /** The same set, with all taken out that is the same in all of its states. */
  sharpened(states: Factored): Factored {
    if (states.core <= FULL || this.#dull.has(states.core)) return states;
    const { bdd, levels } = this.#places;
    const found = bdd.essential(states.core, levels, OPEN);
    if (!found.some((bit) => bit !== OPEN)) {
      this.#dull.add(states.core);
      return states;
    }
    const { bits } = states.fixed;
    for (let level = 0; level < levels; level++) if (found[level] === OPEN) found[level] = bits[level]!;
    const fixed = this.#fix(found);
    return { fixed, core: this.#within(states.core, fixed) };
  }

  /** Is some state of the set in a diagram's? */
  meets({ fixed, core }: Factored, states: Ref): boolean {
    const here = this.#within(states, fixed);
    return this.#places.bdd.meets(core, here);
  }

  /** The states that the operations lead to, or a stretch of them. */
  forward(states: Factored, operations: readonly Operation[], from = 0, to = operations.length): Factored {
    let at = states;
    for (let index = from; index < to; index++) {
      if (at.core === EMPTY) return this.none;
      const operation = operations[index]!;
      if (operation.kind !== "assign") at = this.forwardOne(at, operation);
      else {
        const row: Assignment[] = [operation];
        for (
          let next = operations[index + 1];
          index + 1 < to && next?.kind === "assign";
          next = operations[index + 1]
        ) {
          row.push(next);
          index++;
        }
        at = this.#assign(at, row);
      }
    }
    return at;
  }

  /** The states that one operation leads to. */
  forwardOne(states: Factored, operation: Operation): Factored {
    if (states.core === EMPTY) return this.none;
    switch (operation.kind) {
      case "assume":
        return this.and(states, this.#places.set(operation.condition));
      case "assign":
        return this.#assign(states, [operation]);
      case "havoc":
        return this.and(this.#forget(states, operation.variables), this.#places.set(operation.constraint));
      case "choose":
        if (operation.only && !this.meets(states, this.#places.set(operation.only))) return states;
        return this.#choose(states, operation.cases);
      case "settle":
        return this.#settle(states, operation.among ?? this.#places.settling);
      case "remember":
        return this.#remember(states, operation.variable, this.#places.set(operation.truth));
      case "copy":
        return this.#copy(states, operation.of, operation.variable);
      case "forget":
        return this.#forget(states, operation.variables);
      default:
        return unreachable(operation);
    }
  }

  #assign(states: Factored, assignments: readonly Assignment[]): Factored {
    const { bdd } = this.#places;
    const bits = this.#drafted(states.fixed);
    let core = states.core;
    for (const { variable, value } of assignments) {
      const place = this.#places.place(variable);
      const literals = place.literals[value];
      if (this.#isOpen(bits, place)) core = bdd.exists(core, place.cube);
      for (let bit = 0; bit < place.bits; bit++) bits[place.level + bit] = literals?.[bit] ?? OPEN;
      if (!literals) core = bdd.and(core, place.values[value]!);
    }
    return { fixed: this.#fix(bits), core };
  }

  /** The same without what is known of some bits. */
  forgetting({ fixed, core }: Factored, { cube, levels }: Bits): Factored {
    if (core === EMPTY) return this.none;
    const left = this.#places.bdd.exists(core, cube);
    if (levels.every((level) => fixed.bits[level] === OPEN)) return { fixed, core: left };
    const bits = this.#drafted(fixed);
    for (const level of levels) bits[level] = OPEN;
    return { fixed: this.#fix(bits), core: left };
  }

  #forget(states: Factored, variables: readonly Variable[]): Factored {
    const { bdd } = this.#places;
    let { core } = states;
    let bits: Uint8Array | undefined;
    for (const variable of variables) {
      const place = this.#places.place(variable);
      if (this.#isOpen(states.fixed.bits, place)) core = bdd.exists(core, place.cube);
      for (let level = place.level; level < place.level + place.bits; level++) {
        if (states.fixed.bits[level] === OPEN) continue;
        bits ??= this.#drafted(states.fixed);
        bits[level] = OPEN;
      }
    }
    return { fixed: bits ? this.#fix(bits) : states.fixed, core };
  }

  /** The variable is new: nothing speaks of it yet. */
  #remember(states: Factored, variable: Variable, truth: Ref): Factored {
    const yes = this.and(states, truth);
    if (yes.core === EMPTY) return this.#assign(states, [{ variable, value: 0 }]);
    const no = this.without(states, truth);
    if (no.core === EMPTY) return this.#assign(states, [{ variable, value: 1 }]);
    const { bdd } = this.#places;
    const { values } = this.#places.place(variable);
    return { fixed: states.fixed, core: bdd.or(bdd.and(yes.core, values[1]!), bdd.and(no.core, values[0]!)) };
  }

  #copy(states: Factored, from: Variable, variable: Variable): Factored {
    const place = this.#places.place(from);
    const { bits } = states.fixed;
    const value = place.literals.findIndex((literals) =>
      literals?.every((one, bit) => bits[place.level + bit] === one),
    );
    if (value >= 0) return this.#assign(states, [{ variable, value }]);
    return this.and(states, this.#places.same(from, variable));
  }

  /** A choice of many cases is taken in one pass through a twin, unless its variable is fixed. */
  #choose(states: Factored, cases: Choice): Factored {
    const passes = this.#places.passesOf(cases);
    if (!passes) return this.#simultaneous(states, [cases]);
    const place = this.#places.place(cases[0]!.assign[0]!.variable);
    if (!this.#isOpen(states.fixed.bits, place)) return this.#simultaneous(states, [cases]);
    const opened = this.#opened(states, place);
    const core = passes.reduce((set, { relation, cube }) => {
      return this.#places.bdd.andExists(set, this.#within(relation, opened.fixed), cube);
    }, opened.core);
    return { fixed: opened.fixed, core };
  }

  /** The same set, with the bits of a variable left to the diagram. */
  #opened(states: Factored, { level, bits: count }: Place): Factored {
    const bits = this.#drafted(states.fixed);
    bits.fill(OPEN, level, level + count);
    const fixed = this.#fix(bits);
    return { fixed, core: this.#lift(states, fixed) };
  }

  /**
   * The states of `from` that an operation takes into a part of `after`, which is all that it makes of them. Undefined where that has to
   * be found in whole diagrams.
   */
  back(part: Factored, operation: Operation, from: Factored, after: Factored): Factored | undefined {
    const { bdd } = this.#places;
    const { core } = part;
    const before = (states: Ref): Factored => ({ fixed: from.fixed, core: bdd.and(states, from.core) });
    switch (operation.kind) {
      case "assume":
        return { fixed: from.fixed, core };
      case "forget":
        return before(core);
      case "assign":
        return this.#places.place(operation.variable).literals[operation.value] ? before(core) : undefined;
      case "remember":
      case "copy":
        return this.#isFixed(after, operation.variable) ? before(core) : undefined;
      case "choose":
        return { fixed: from.fixed, core: this.#roundBack(part, from, [operation.cases]) };
      case "settle":
        return this.#settleBack(part, from, operation.among ?? this.#places.settling);
      case "havoc":
        return undefined;
    }
  }

  /** The part of `from` that settling takes into a part of what it makes of all of it. */
  #settleBack(part: Factored, from: Factored, among: Settling): Factored {
    const { bdd } = this.#places;
    const settled = this.#places.set(among.settled);
    const { rounds } = this.#movingIn(from, among);
    let into: Factored = this.none;
    for (const moving of rounds.reverse()) {
      const target = this.or(part, into);
      into = { fixed: moving.fixed, core: this.#roundBack(target, moving, among.choices) };
    }
    const still = this.#common(this.and(from, settled), part);
    return { fixed: from.fixed, core: into.core === EMPTY ? still : bdd.or(still, into.core) };
  }

  /** The part of some states that one round of choices takes into a set, as a diagram beside what is fixed in them. */
  #roundBack(
    part: Factored,
    states: Factored,
    choices: readonly Choice[],
    index = 0,
    taken: readonly Assignment[] = [],
  ): Ref {
    if (states.core === EMPTY) return EMPTY;
    const { bdd } = this.#places;
    const choice = choices[index];
    if (!choice) return this.#assignBack(part, states, taken);
    let rest = states;
    let sum: Ref = EMPTY;
    for (const { when, assign } of choice) {
      const truth = this.#places.set(when);
      const hits = this.and(rest, truth);
      if (hits.core === EMPTY) continue;
      sum = bdd.or(sum, this.#roundBack(part, hits, choices, index + 1, [...taken, ...assign]));
      rest = this.without(rest, truth);
    }
    return bdd.or(sum, this.#roundBack(part, rest, choices, index + 1, taken));
  }

  #assignBack(part: Factored, states: Factored, taken: readonly Assignment[]): Ref {
    const { bdd } = this.#places;
    const made = taken.length === 0 ? states : this.#assign(states, taken);
    let core = this.#common(made, part);
    for (const { variable } of taken) core = bdd.exists(core, this.#places.place(variable).cube);
    return bdd.and(core, states.core);
  }

  /** What two sets have in common, as a diagram beside what is fixed in the first. */
  #common(one: Factored, other: Factored): Ref {
    if (one.core === EMPTY || other.core === EMPTY || this.#areApart(one.fixed, other.fixed)) return EMPTY;
    return this.#places.bdd.and(one.core, this.#within(this.#lift(other, one.fixed), one.fixed));
  }

  #isFixed({ fixed }: Factored, variable: Variable): boolean {
    const { level, bits } = this.#places.place(variable);
    for (let at = level; at < level + bits; at++) if (fixed.bits[at] === OPEN) return false;
    return true;
  }

  /** The part of the set that is in a diagram's, written as the set is. */
  as({ fixed }: Factored, states: Ref): Factored {
    return { fixed, core: this.#within(states, fixed) };
  }

  /** The same set, written as another one that it is a part of. */
  like(states: Factored, whole: Factored): Factored {
    if (states.fixed === whole.fixed) return states;
    return { fixed: whole.fixed, core: this.#within(this.#lift(states, whole.fixed), whole.fixed) };
  }

  /** Is this one state in the set? `state[variable.index]` is the variable's value. */
  contains(states: Factored, state: ArrayLike<number>): boolean {
    return this.#places.agrees(states.fixed.bits, state) && this.#places.contains(states.core, state);
  }

  /** One round of immediate changes. */
  round(states: Factored, { choices }: Settling = this.#places.settling): Factored {
    return this.#simultaneous(states, choices);
  }

  /** Splits the states by what each choice takes, then makes all assignments. */
  #simultaneous(states: Factored, choices: readonly Choice[], index = 0, taken: readonly Assignment[] = []): Factored {
    if (states.core === EMPTY) return this.none;
    const choice = choices[index];
    if (!choice) return taken.length === 0 ? states : this.#assign(states, taken);
    let rest = states;
    let sum = this.none;
    for (const { when, assign } of choice) {
      const truth = this.#places.set(when);
      const hits = this.and(rest, truth);
      if (hits.core === EMPTY) continue;
      sum = this.or(sum, this.#simultaneous(hits, choices, index + 1, [...taken, ...assign]));
      rest = this.without(rest, truth);
    }
    return this.or(sum, this.#simultaneous(rest, choices, index + 1, taken));
  }

  /** Rounds until nothing fires. States that come back on themselves for ever are dropped: that path ends. */
  #settle(states: Factored, among: Settling): Factored {
    const settled = this.#places.set(among.settled);
    let done = this.and(states, settled);
    let moving = this.without(states, settled);
    const rounds: Factored[] = [];
    while (moving.core !== EMPTY && !isAmong(rounds, moving)) {
      rounds.push(moving);
      const after = this.round(moving, among);
      done = this.or(done, this.and(after, settled));
      moving = this.without(after, settled);
    }
    return done;
  }

  /** What some states come to in rounds that never end; none where all of them come to rest. */
  restless(states: Factored, among: Settling = this.#places.settling): Factored {
    return this.#movingIn(states, among).left;
  }

  /** What still moves ahead of each round, and in the end, once that is nothing or has been there before. */
  #movingIn(states: Factored, among: Settling): { readonly rounds: Factored[]; readonly left: Factored } {
    const settled = this.#places.set(among.settled);
    const rounds: Factored[] = [];
    let left = this.without(states, settled);
    while (left.core !== EMPTY && !isAmong(rounds, left)) {
      rounds.push(left);
      left = this.without(this.round(left, among), settled);
    }
    return { rounds, left };
  }

  #isOpen(bits: Uint8Array, { level, bits: count }: Place): boolean {
    for (let at = level; at < level + count; at++) if (bits[at] === OPEN) return true;
    return false;
  }

  /** A diagram where the fixed bits are as they are. */
  #within(states: Ref, fixed: Fixed): Ref {
    return this.#places.bdd.cofactor(states, fixed.bits, fixed.id);
  }

  #lift({ fixed, core }: Factored, to: Fixed): Ref {
    return fixed === to ? core : this.#places.bdd.and(core, this.#literals(fixed, to));
  }

  /** What is fixed in one and open in the other, as a diagram. */
  #literals(fixed: Fixed, open: Fixed): Ref {
    const { bdd } = this.#places;
    let cube = FULL;
    for (let level = fixed.bits.length - 1; level >= 0; level--) {
      const bit = fixed.bits[level]!;
      if (bit === OPEN || open.bits[level] !== OPEN) continue;
      cube = bit === 1 ? bdd.node(level, EMPTY, cube) : bdd.node(level, cube, EMPTY);
    }
    return cube;
  }

  #meet(a: Fixed, b: Fixed): Fixed {
    if (a === b) return a;
    if (this.#lastMeet?.a === a && this.#lastMeet.b === b) return this.#lastMeet.meet;
    const meet = this.#makeMeet(a, b);
    this.#lastMeet = { a, b, meet };
    return meet;
  }

  #makeMeet(a: Fixed, b: Fixed): Fixed {
    let isA = true;
    let isB = true;
    const bits = this.#drafted(a);
    for (let level = 0; level < bits.length; level++) {
      if (bits[level] === b.bits[level]) continue;
      if (bits[level] !== OPEN) isA = false;
      if (b.bits[level] !== OPEN) isB = false;
      bits[level] = OPEN;
    }
    if (isA) return a;
    return isB ? b : this.#fix(bits);
  }

  #areApart(a: Fixed, b: Fixed): boolean {
    for (let level = 0; level < a.bits.length; level++) {
      const bit = a.bits[level]! + b.bits[level]!;
      if (bit === 1) return true;
    }
    return false;
  }

  #drafted({ bits }: Fixed): Uint8Array {
    this.#draft.set(bits);
    return this.#draft;
  }

  /** The one row with these bits; they are copied where there is none yet. */
  #fix(bits: Uint8Array): Fixed {
    const hash = hashOf(bits);
    const next = this.#known.get(hash);
    for (let one = next; one; one = one.next) if (areEqual(one.bits, bits)) return one;
    const made = { id: this.#ids++, bits: bits.slice(), next };
    this.#known.set(hash, made);
    return made;
  }
}

/** Is it among them, written in the same way? A round makes the same of what is: sets that come back on themselves are found, if some rounds later. */
function isAmong(sets: readonly Factored[], { fixed, core }: Factored): boolean {
  return sets.some((one) => one.core === core && one.fixed === fixed);
}

function hashOf(bits: Uint8Array): number {
  let hash = 0;
  for (let at = 0; at < bits.length; at++) hash = (Math.imul(hash, 31) + bits[at]!) | 0;
  return hash;
}

function areEqual(one: Uint8Array, other: Uint8Array): boolean {
  for (let at = 0; at < one.length; at++) if (one[at] !== other[at]) return false;
  return true;
}
