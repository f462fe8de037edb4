import { invariant } from "../../invariant.js";

/** A set of valuations of bits: the number of a node in its `Bdd`. Equal sets have equal numbers. */
export type Ref = number;

export const EMPTY: Ref = 0;
export const FULL: Ref = 1;

/** Thrown when a question needs more nodes than it may have; the answer is then `unproved`. */
export class NodeLimit extends Error {
  override readonly name = "NodeLimit";
}

const AND = 1;
const OR = 2;
const DIFF = 3;
const EXISTS = 4;
const AND_EXISTS = 5;
const ITE = 6;
const COFACTOR = 7;
const AND_WITHIN = 8;
const DIFF_WITHIN = 9;

const LAST_LEVEL = 0x7fffffff;

/** Results that are remembered at most. Up to there one for each node, so that a small question takes little room. */
const MOST_RESULTS = 1 << 16;

/**
 * Reduced ordered binary decision diagrams (Bryant 1986) in typed arrays: a chained unique table and a lossy,
 * direct-mapped cache of results. Nothing is ever collected: a manager lives for one question.
 */
export class Bdd {
  private levels: Int32Array;
  private lows: Int32Array;
  private highs: Int32Array;
  private chain: Int32Array;
  private buckets: Int32Array;
  private cache: Int32Array;
  private cacheMask: number;
  private count = 2;

  constructor(private readonly limit = 4_000_000) {
    const room = 1 << 9;
    this.levels = new Int32Array(room);
    this.lows = new Int32Array(room);
    this.highs = new Int32Array(room);
    this.chain = new Int32Array(room);
    this.buckets = new Int32Array(room);
    this.levels[EMPTY] = LAST_LEVEL;
    this.levels[FULL] = LAST_LEVEL;
    this.cacheMask = room - 1;
    this.cache = new Int32Array(room * 5);
  }

  get size(): number {
    return this.count;
  }

  level(ref: Ref): number {
    return this.levels[ref]!;
  }

  low(ref: Ref): Ref {
    return this.lows[ref]!;
  }

  high(ref: Ref): Ref {
    return this.highs[ref]!;
  }

  /** The set in which the bit at this level is one. */
  bit(level: number): Ref {
    return this.node(level, EMPTY, FULL);
  }

  node(level: number, low: Ref, high: Ref): Ref {
    if (low === high) return low;
    const hash = mix(level, low, high) & (this.buckets.length - 1);
    for (let at = this.buckets[hash]!; at > FULL; at = this.chain[at]!) {
      if (this.levels[at] === level && this.lows[at] === low && this.highs[at] === high) return at;
    }
    return this.insert(level, low, high, hash);
  }

  and(a: Ref, b: Ref): Ref {
    if (a === b || b === FULL) return a;
    if (a === FULL) return b;
    if (a === EMPTY || b === EMPTY) return EMPTY;
    if (a > b) return this.and(b, a);
    const slot = this.slot(AND, a, b, 0);
    const known = this.recall(slot, AND, a, b, 0);
    if (known >= 0) return known;
    const level = Math.min(this.levels[a]!, this.levels[b]!);
    const low = this.and(this.lowAt(a, level), this.lowAt(b, level));
    const high = this.and(this.highAt(a, level), this.highAt(b, level));
    return this.keep(slot, AND, a, b, 0, this.node(level, low, high));
  }

  or(a: Ref, b: Ref): Ref {
    if (a === b || b === EMPTY) return a;
    if (a === EMPTY) return b;
    if (a === FULL || b === FULL) return FULL;
    if (a > b) return this.or(b, a);
    const slot = this.slot(OR, a, b, 0);
    const known = this.recall(slot, OR, a, b, 0);
    if (known >= 0) return known;
    const level = Math.min(this.levels[a]!, this.levels[b]!);
    const low = this.or(this.lowAt(a, level), this.lowAt(b, level));
    const high = this.or(this.highAt(a, level), this.highAt(b, level));
    return this.keep(slot, OR, a, b, 0, this.node(level, low, high));
  }

  /** What is in `a` and not in `b`. */
  diff(a: Ref, b: Ref): Ref {
    if (a === EMPTY || b === FULL || a === b) return EMPTY;
    if (b === EMPTY) return a;
    const slot = this.slot(DIFF, a, b, 0);
    const known = this.recall(slot, DIFF, a, b, 0);
    if (known >= 0) return known;
    const level = Math.min(this.levels[a]!, this.levels[b]!);
    const low = this.diff(this.lowAt(a, level), this.lowAt(b, level));
    const high = this.diff(this.highAt(a, level), this.highAt(b, level));
    return this.keep(slot, DIFF, a, b, 0, this.node(level, low, high));
  }

  not(a: Ref): Ref {
    return this.diff(FULL, a);
  }

  /** `a` where the condition holds, else `b`. */
  ite(condition: Ref, a: Ref, b: Ref): Ref {
    if (condition === FULL || a === b) return a;
    if (condition === EMPTY) return b;
    if (a === FULL && b === EMPTY) return condition;
    const slot = this.slot(ITE, condition, a, b);
    const known = this.recall(slot, ITE, condition, a, b);
    if (known >= 0) return known;
    const level = Math.min(this.levels[condition]!, this.levels[a]!, this.levels[b]!);
    const low = this.ite(this.lowAt(condition, level), this.lowAt(a, level), this.lowAt(b, level));
    const high = this.ite(this.highAt(condition, level), this.highAt(a, level), this.highAt(b, level));
    return this.keep(slot, ITE, condition, a, b, this.node(level, low, high));
  }

  /** Forgets the bits of a cube (a conjunction of plain bits). */
  exists(a: Ref, cube: Ref): Ref {
    if (a <= FULL || cube === FULL) return a;
    const level = this.levels[a]!;
    let rest = cube;
    while (this.levels[rest]! < level) rest = this.highs[rest]!;
    if (rest === FULL) return a;
    const slot = this.slot(EXISTS, a, rest, 0);
    const known = this.recall(slot, EXISTS, a, rest, 0);
    if (known >= 0) return known;
    const here = this.levels[rest] === level;
    const after = here ? this.highs[rest]! : rest;
    const low = this.exists(this.lows[a]!, after);
    if (here && low === FULL) return this.keep(slot, EXISTS, a, rest, 0, FULL);
    const high = this.exists(this.highs[a]!, after);
    return this.keep(slot, EXISTS, a, rest, 0, here ? this.or(low, high) : this.node(level, low, high));
  }

  /** `exists(and(a, b), cube)` in one pass. */
  andExists(a: Ref, b: Ref, cube: Ref): Ref {
    if (a === EMPTY || b === EMPTY) return EMPTY;
    if (a === FULL || a === b) return this.exists(b, cube);
    if (b === FULL) return this.exists(a, cube);
    if (a > b) return this.andExists(b, a, cube);
    const level = Math.min(this.levels[a]!, this.levels[b]!);
    let rest = cube;
    while (this.levels[rest]! < level) rest = this.highs[rest]!;
    if (rest === FULL) return this.and(a, b);
    const slot = this.slot(AND_EXISTS, a, b, rest);
    const known = this.recall(slot, AND_EXISTS, a, b, rest);
    if (known >= 0) return known;
    const here = this.levels[rest] === level;
    const after = here ? this.highs[rest]! : rest;
    const low = this.andExists(this.lowAt(a, level), this.lowAt(b, level), after);
    if (here && low === FULL) return this.keep(slot, AND_EXISTS, a, b, rest, FULL);
    const high = this.andExists(this.highAt(a, level), this.highAt(b, level), after);
    return this.keep(slot, AND_EXISTS, a, b, rest, here ? this.or(low, high) : this.node(level, low, high));
  }

  /** The set where the bits are as they are fixed, by level: 0, 1, or anything else for open. `id` stands for just these bits. */
  cofactor(a: Ref, bits: Uint8Array, id: number): Ref {
    const at = this.followed(a, bits);
    if (at <= FULL) return at;
    const slot = this.slot(COFACTOR, at, id, 0);
    const known = this.recall(slot, COFACTOR, at, id, 0);
    if (known >= 0) return known;
    const low = this.cofactor(this.lows[at]!, bits, id);
    const high = this.cofactor(this.highs[at]!, bits, id);
    return this.keep(slot, COFACTOR, at, id, 0, this.node(this.levels[at]!, low, high));
  }

  /** `and(a, cofactor(b))` in one pass, for a set that depends on open bits only. */
  andWithin(a: Ref, b: Ref, bits: Uint8Array, id: number): Ref {
    const at = this.followed(b, bits);
    if (a === EMPTY || at === EMPTY) return EMPTY;
    if (at === FULL || a === at) return a;
    const slot = this.slot(AND_WITHIN, a, at, id);
    const known = this.recall(slot, AND_WITHIN, a, at, id);
    if (known >= 0) return known;
    const level = Math.min(this.levels[a]!, this.levels[at]!);
    const low = this.andWithin(this.lowAt(a, level), this.lowAt(at, level), bits, id);
    const high = this.andWithin(this.highAt(a, level), this.highAt(at, level), bits, id);
    return this.keep(slot, AND_WITHIN, a, at, id, this.node(level, low, high));
  }

  /** `diff(a, cofactor(b))` in one pass, for a set that depends on open bits only. */
  diffWithin(a: Ref, b: Ref, bits: Uint8Array, id: number): Ref {
    const at = this.followed(b, bits);
    if (a === EMPTY || at === FULL || a === at) return EMPTY;
    if (at === EMPTY) return a;
    const slot = this.slot(DIFF_WITHIN, a, at, id);
    const known = this.recall(slot, DIFF_WITHIN, a, at, id);
    if (known >= 0) return known;
    const level = Math.min(this.levels[a]!, this.levels[at]!);
    const low = this.diffWithin(this.lowAt(a, level), this.lowAt(at, level), bits, id);
    const high = this.diffWithin(this.highAt(a, level), this.highAt(at, level), bits, id);
    return this.keep(slot, DIFF_WITHIN, a, at, id, this.node(level, low, high));
  }

  private followed(a: Ref, bits: Uint8Array): Ref {
    let at = a;
    while (at > FULL) {
      const bit = bits[this.levels[at]!]!;
      if (bit > 1) return at;
      at = bit === 1 ? this.highs[at]! : this.lows[at]!;
    }
    return at;
  }

  /**
   * The bits that are the same in every member of a set over so many levels: 0, 1, or `open`. A level is one of them where every
   * way to a member passes through it, and all go on by the same side.
   */
  essential(a: Ref, levels: number, open: number): Uint8Array {
    const sides = new Uint8Array(levels);
    /** +1 where a stretch begins that some way passes over, -1 where it is over. */
    const skips = new Int32Array(levels + 1);
    const seen = new Set<Ref>([a]);
    for (const at of seen) {
      const level = this.levels[at]!;
      for (let side = 1; side <= 2; side++) {
        const next = side === 1 ? this.lows[at]! : this.highs[at]!;
        if (next === EMPTY) continue;
        sides[level]! |= side;
        skips[level + 1]!++;
        skips[Math.min(levels, this.levels[next]!)]!--;
        if (next > FULL) seen.add(next);
      }
    }
    let over = this.levels[a]! > 0 ? 1 : 0;
    for (let level = 0; level < levels; level++) {
      if (level === this.levels[a]) over = 0;
      over += skips[level]!;
      sides[level] = over > 0 || sides[level] === 3 ? open : sides[level]! - 1;
    }
    return sides;
  }

  /** The levels that a set depends on, in order. */
  support(a: Ref): readonly number[] {
    const seen = new Set<Ref>();
    const levels = new Set<number>();
    const stack = [a];
    for (let at = stack.pop(); at !== undefined; at = stack.pop()) {
      if (at <= FULL || seen.has(at)) continue;
      seen.add(at);
      levels.add(this.levels[at]!);
      stack.push(this.lows[at]!, this.highs[at]!);
    }
    return [...levels].sort((x, y) => x - y);
  }

  private lowAt(a: Ref, level: number): Ref {
    return this.levels[a] === level ? this.lows[a]! : a;
  }

  private highAt(a: Ref, level: number): Ref {
    return this.levels[a] === level ? this.highs[a]! : a;
  }

  private slot(operation: number, a: Ref, b: Ref, c: Ref): number {
    return (mix(a + operation * 0x9e3779b1, b, c) & this.cacheMask) * 5;
  }

  private recall(slot: number, operation: number, a: Ref, b: Ref, c: Ref): Ref {
    const cache = this.cache;
    const same = cache[slot] === operation && cache[slot + 1] === a && cache[slot + 2] === b && cache[slot + 3] === c;
    return same ? cache[slot + 4]! : -1;
  }

  private keep(slot: number, operation: number, a: Ref, b: Ref, c: Ref, result: Ref): Ref {
    const cache = this.cache;
    cache[slot] = operation;
    cache[slot + 1] = a;
    cache[slot + 2] = b;
    cache[slot + 3] = c;
    cache[slot + 4] = result;
    return result;
  }

  private insert(level: number, low: Ref, high: Ref, hash: number): Ref {
    if (this.count >= this.limit) throw new NodeLimit();
    invariant(level < this.levels[low]! && level < this.levels[high]!, "levels must grow downwards");
    if (this.count === this.levels.length) {
      this.grow();
      return this.insert(level, low, high, mix(level, low, high) & (this.buckets.length - 1));
    }
    const made = this.count++;
    this.levels[made] = level;
    this.lows[made] = low;
    this.highs[made] = high;
    this.chain[made] = this.buckets[hash]!;
    this.buckets[hash] = made;
    return made;
  }

  private grow(): void {
    const room = this.levels.length * 2;
    if (room <= MOST_RESULTS) {
      this.cacheMask = room - 1;
      this.cache = new Int32Array(room * 5);
    }
    this.levels = widened(this.levels, room);
    this.lows = widened(this.lows, room);
    this.highs = widened(this.highs, room);
    this.chain = new Int32Array(room);
    this.buckets = new Int32Array(room);
    for (let at = 2; at < this.count; at++) {
      const hash = mix(this.levels[at]!, this.lows[at]!, this.highs[at]!) & (room - 1);
      this.chain[at] = this.buckets[hash]!;
      this.buckets[hash] = at;
    }
  }
}

function widened(array: Int32Array, room: number): Int32Array {
  const wider = new Int32Array(room);
  wider.set(array);
  return wider;
}

function mix(a: number, b: number, c: number): number {
  let hash = Math.imul(a, 0x85ebca6b) ^ Math.imul(b, 0xc2b2ae35) ^ Math.imul(c, 0x27d4eb2f);
  hash ^= hash >>> 15;
  hash = Math.imul(hash, 0x2c1b3c6d);
  return (hash ^ (hash >>> 12)) >>> 0;
}
