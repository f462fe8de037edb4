import { invariant } from "../../invariant.js";
import type { Expression, Variable } from "../expression.js";
import type { Choice, Operation, Settling } from "../operation.js";
import { Bdd, EMPTY, FULL, type Ref } from "./bdd.js";

/**
 * An ordered list of variables in the levels of diagrams, and what expressions come to there. A variable of n values takes the
 * fewest bits that hold them, highest first; spare codes stand for its last value, so no set needs a constraint to be well formed.
 */
export class Places {
  readonly bdd: Bdd;
  /** No immediate change can fire. */
  readonly settled: Ref;
  readonly levels: number;
  private readonly places = new Map<Variable, Place>();
  /** A second place for each variable that settling assigns: its value after the round, on the way back. */
  private readonly twins = new Map<Variable, Place>();
  private readonly compiled = new Map<Expression, Ref>();
  private readonly relations = new Map<Choice, Relation>();
  private readonly sames = new Map<Place, Map<Place, Ref>>();
  private readonly bitTable: { readonly variable: Variable; readonly shift: number }[] = [];

  private used = 0;
  private last: { readonly parts: readonly Expression[]; readonly set: Ref } | undefined;
  private readonly held: Variable[] = [];

  constructor(
    variables: readonly Variable[],
    readonly settling: Settling,
    limit?: number,
    /** Bits that are kept free for variables to come. */
    reserve = 0,
  ) {
    this.bdd = new Bdd(limit);
    for (const variable of variables) this.take(variable);
    this.levels = this.used + reserve;
    this.settled = this.set(settling.settled);
  }

  /** In their order. */
  get variables(): readonly Variable[] {
    return this.held;
  }

  /** Makes room for more variables, after all others; false, and nothing done, where there is none. */
  admit(variables: readonly Variable[]): boolean {
    const more = variables.filter((variable) => !this.has(variable));
    const bits = more.map((variable) => bitsFor(variable.size) * (needsTwin(variable, this.settling) ? 2 : 1));
    if (this.used + bits.reduce((sum, count) => sum + count, 0) > this.levels) return false;
    for (const variable of more) this.take(variable);
    return true;
  }

  private take(variable: Variable): void {
    const bits = bitsFor(variable.size);
    this.places.set(variable, this.nextPlace(variable, bits));
    if (needsTwin(variable, this.settling)) this.twins.set(variable, this.nextPlace(variable, bits));
    this.held.push(variable);
    this.bitTable.length = 0;
  }

  private nextPlace(variable: Variable, bits: number): Place {
    const place = placeOf(this.bdd, variable, this.used, bits);
    this.used += bits;
    return place;
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

  /** The states in which no change that a settling looks at can fire. */
  settledAmong({ among }: Extract<Operation, { kind: "settle" }>): Ref {
    return among ? this.set(among.settled) : this.settled;
  }

  /** The states in which all of them hold; asked again and again of the same. */
  setOfAll(parts: readonly Expression[]): Ref {
    const { last } = this;
    if (last && last.parts.length === parts.length && parts.every((part, index) => part === last.parts[index]))
      return last.set;
    const { bdd } = this;
    const sets = parts.map((part) => this.set(part)).sort((a, b) => bdd.level(b) - bdd.level(a));
    const set = sets.reduce((all, part) => bdd.and(part, all), FULL);
    this.last = { parts, set };
    return set;
  }

  value(variable: Variable, value: number): Ref {
    const ref = this.place(variable).values[value];
    invariant(ref !== undefined, `no value ${value} of ${variable.name}`);
    return ref;
  }

  /** Forgets what is known of the variables. */
  forget(set: Ref, variables: readonly Variable[]): Ref {
    return set <= FULL ? set : this.bdd.exists(set, this.bitsOf(variables).cube);
  }

  /** The bits of some variables. */
  bitsOf(variables: readonly Variable[]): Bits {
    const places = variables.map((variable) => this.place(variable)).sort((a, b) => a.level - b.level);
    const levels = places.flatMap(({ level, bits }) => Array.from({ length: bits }, (_, bit) => level + bit));
    return { levels, cube: levels.reduceRight((cube, level) => this.bdd.node(level, EMPTY, cube), FULL) };
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

  /** Has this one state those bits? `OPEN` is any. */
  agrees(bits: ArrayLike<number>, state: ArrayLike<number>): boolean {
    for (let level = 0; level < this.levels; level++) {
      if (bits[level] === OPEN) continue;
      const { variable, shift } = this.bitAt(level);
      if (((state[variable.index]! >> shift) & 1) !== bits[level]) return false;
    }
    return true;
  }

  /** Is a state of the set among those in which some variables have one of these values? The others may have any. */
  meetsWhere(allowed: ReadonlyMap<Variable, readonly number[]>, set: Ref): boolean {
    const bits = new Uint8Array(this.levels).fill(OPEN);
    for (const [variable, values] of allowed) {
      const { level, bits: count } = this.place(variable);
      for (let bit = 0; bit < count; bit++)
        bits[level + bit] = values.length === 1 ? (values[0]! >> (count - 1 - bit)) & 1 : SEVERAL;
    }
    return this.bdd.meetsWhere(set, bits, (at) => {
      if (bits[this.bdd.level(at)] === OPEN) return [this.bdd.low(at), this.bdd.high(at)];
      const { variable } = this.bitAt(this.bdd.level(at));
      return allowed.get(variable)!.map((value) => this.followed(at, variable, value));
    });
  }

  /** Where a diagram leads to from a node of a variable with this code. */
  private followed(from: Ref, variable: Variable, code: number): Ref {
    const { bdd } = this;
    let at = from;
    while (at > FULL) {
      const bit = this.bitAt(bdd.level(at));
      if (bit.variable !== variable) return at;
      at = (code >> bit.shift) & 1 ? bdd.high(at) : bdd.low(at);
    }
    return at;
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

  /** A set of another list of variables, all of them here too. */
  taken(set: Ref, from: Places): Ref {
    const memo = new Map<Ref, Ref>([
      [EMPTY, EMPTY],
      [FULL, FULL],
    ]);
    const take = (at: Ref): Ref => {
      const known = memo.get(at);
      if (known !== undefined) return known;
      const { variable, shift } = from.bitAt(from.bdd.level(at));
      const place = this.place(variable);
      const bit = this.bdd.bit(place.level + place.bits - 1 - shift);
      const made = this.bdd.ite(bit, take(from.bdd.high(at)), take(from.bdd.low(at)));
      memo.set(at, made);
      return made;
    };
    return take(set);
  }

  /** The variables that a set depends on, in order. */
  supportOf(set: Ref): readonly Variable[] {
    const found = new Set<Variable>();
    for (const level of this.bdd.support(set)) found.add(this.bitAt(level).variable);
    return [...found];
  }

  place(variable: Variable): Place {
    const place = this.places.get(variable);
    invariant(place, `${variable.name} is not in this space`);
    return place;
  }

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

  same(variable: Variable, copy: Variable): Ref {
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

  /** A choice of many cases that all assign one variable, as two passes: to its twin, and back. Undefined for any other choice. */
  passesOf(cases: Choice): readonly [Relation, Relation] | undefined {
    if (cases.length < MANY) return undefined;
    const variable = cases[0]!.assign[0]?.variable;
    const alone = cases.every((one) => one.assign.length === 1 && one.assign[0]!.variable === variable);
    const twin = variable && alone ? this.twins.get(variable) : undefined;
    if (!variable || !twin) return undefined;
    const { relation } = this.relationOf(cases);
    const place = this.place(variable);
    return [
      { relation, cube: place.cube },
      { relation: this.sameValues(place, twin), cube: twin.cube },
    ];
  }

  /** Renames a variable that settling assigns to its twin. */
  toTwin(set: Ref, variable: Variable): Ref {
    const place = this.place(variable);
    return this.bdd.andExists(set, this.sameValues(place, this.twins.get(variable)!), place.cube);
  }

  /** How a choice takes the present values to the twin of its variable; the cube is that of the twin. */
  relationOf(choice: Choice): Relation {
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
}

/** Some bits, and the diagram in which all of them are set. */
export interface Bits {
  readonly cube: Ref;
  readonly levels: readonly number[];
}

/** What is joined to a set, and what is then forgotten. */
export interface Relation {
  readonly relation: Ref;
  readonly cube: Ref;
}

/** Where the bits of a variable are. */
export interface Place {
  readonly level: number;
  readonly bits: number;
  readonly cube: Ref;
  readonly values: readonly Ref[];
  /** Each value as its bits, highest first, `OPEN` where a spare code differs; undefined where no such row tells it from the others. */
  readonly literals: readonly (readonly number[] | undefined)[];
}

/** A bit that may be either. */
export const OPEN = 2;

/** A bit of a variable that may have some of its values. */
const SEVERAL = 3;

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
  const literals = values.map((_, value) => literalsOf(value, variable.size, bits));
  return { level, bits, cube, values, literals };
}

function literalsOf(value: number, size: number, bits: number): readonly number[] | undefined {
  const codes = value === size - 1 ? (1 << bits) - value : 1;
  const open = Math.log2(codes);
  if (!Number.isInteger(open)) return undefined;
  return Array.from({ length: bits }, (_, bit) => (bit >= bits - open ? OPEN : (value >> (bits - 1 - bit)) & 1));
}
