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
const IS_WITHIN = 10;
const MEETS = 11;

/** More than there are operations: an operand and an operation make one number. */
const OPERATIONS = 16;

const LAST_LEVEL = 0x7fffffff;

/** Results that are remembered at most. Up to there one for each node, so that a small question takes little room. */
const MOST_RESULTS = 1 << 16;

/** Numbers that a node takes: its level, what it leads to where the bit is zero and where it is one, and the next in its bucket. */
const WIDTH = 4;
const LOW = 1;
const HIGH = 2;
const NEXT = 3;

/**
 * Reduced ordered binary decision diagrams (Bryant 1986) in typed arrays: a chained unique table and a lossy,
 * direct-mapped cache of results. Nothing is ever collected: a manager lives for one question.
 */
export class Bdd {
  /** Node after node. */
  private nodes: Int32Array;
  private buckets: Int32Array;
  /** Result after result: operation with the first operand, the other two, what it came to. */
  private cache: Int32Array;
  private cacheMask: number;
  private count = 2;
  /** Which walk met a node last. */
  private marks = new Int32Array(0);
  private walks = 0;

  constructor(private readonly limit = 4_000_000) {
    const room = 1 << 9;
    this.nodes = new Int32Array(room * WIDTH);
    this.buckets = new Int32Array(room);
    this.nodes[EMPTY * WIDTH] = LAST_LEVEL;
    this.nodes[FULL * WIDTH] = LAST_LEVEL;
    this.cacheMask = room - 1;
    this.cache = new Int32Array(room * 4);
  }

  get size(): number {
    return this.count;
  }

  level(ref: Ref): number {
    return this.nodes[ref * WIDTH]!;
  }

  low(ref: Ref): Ref {
    return this.nodes[ref * WIDTH + LOW]!;
  }

  high(ref: Ref): Ref {
    return this.nodes[ref * WIDTH + HIGH]!;
  }

  /** The set in which the bit at this level is one. */
  bit(level: number): Ref {
    return this.node(level, EMPTY, FULL);
  }

  node(level: number, low: Ref, high: Ref): Ref {
    if (low === high) return low;
    const { nodes } = this;
    const hash = mix(level, low, high) & (this.buckets.length - 1);
    for (let ref = this.buckets[hash]!; ref > FULL; ) {
      const at = ref * WIDTH;
      if (nodes[at] === level && nodes[at + LOW] === low && nodes[at + HIGH] === high) return ref;
      ref = nodes[at + NEXT]!;
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
    const levelA = this.level(a);
    const levelB = this.level(b);
    const isA = levelA <= levelB;
    const isB = levelB <= levelA;
    const highA = isA ? this.high(a) : a;
    const highB = isB ? this.high(b) : b;
    const low = this.and(isA ? this.low(a) : a, isB ? this.low(b) : b);
    const high = this.and(highA, highB);
    return this.keep(slot, AND, a, b, 0, this.node(isA ? levelA : levelB, low, high));
  }

  or(a: Ref, b: Ref): Ref {
    if (a === b || b === EMPTY) return a;
    if (a === EMPTY) return b;
    if (a === FULL || b === FULL) return FULL;
    if (a > b) return this.or(b, a);
    const slot = this.slot(OR, a, b, 0);
    const known = this.recall(slot, OR, a, b, 0);
    if (known >= 0) return known;
    const levelA = this.level(a);
    const levelB = this.level(b);
    const isA = levelA <= levelB;
    const isB = levelB <= levelA;
    const highA = isA ? this.high(a) : a;
    const highB = isB ? this.high(b) : b;
    const low = this.or(isA ? this.low(a) : a, isB ? this.low(b) : b);
    const high = this.or(highA, highB);
    return this.keep(slot, OR, a, b, 0, this.node(isA ? levelA : levelB, low, high));
  }

  /** What is in `a` and not in `b`. */
  diff(a: Ref, b: Ref): Ref {
    if (a === EMPTY || b === FULL || a === b) return EMPTY;
    if (b === EMPTY) return a;
    const slot = this.slot(DIFF, a, b, 0);
    const known = this.recall(slot, DIFF, a, b, 0);
    if (known >= 0) return known;
    const levelA = this.level(a);
    const levelB = this.level(b);
    const isA = levelA <= levelB;
    const isB = levelB <= levelA;
    const highA = isA ? this.high(a) : a;
    const highB = isB ? this.high(b) : b;
    const low = this.diff(isA ? this.low(a) : a, isB ? this.low(b) : b);
    const high = this.diff(highA, highB);
    return this.keep(slot, DIFF, a, b, 0, this.node(isA ? levelA : levelB, low, high));
  }

  /** Is all of `a` in `b`? Makes no nodes, and stops at the first that is not. */
  isWithin(a: Ref, b: Ref): boolean {
    if (a === EMPTY || b === FULL || a === b) return true;
    if (a === FULL || b === EMPTY) return false;
    const slot = this.slot(IS_WITHIN, a, b, 0);
    const known = this.recall(slot, IS_WITHIN, a, b, 0);
    if (known >= 0) return known === 1;
    const level = Math.min(this.level(a), this.level(b));
    const isSo =
      this.isWithin(this.lowAt(a, level), this.lowAt(b, level)) &&
      this.isWithin(this.highAt(a, level), this.highAt(b, level));
    return this.keep(slot, IS_WITHIN, a, b, 0, isSo ? 1 : 0) === 1;
  }

  /** Have they anything in common? Makes no nodes, and stops at the first. */
  meets(a: Ref, b: Ref): boolean {
    if (a === EMPTY || b === EMPTY) return false;
    if (a === FULL || b === FULL || a === b) return true;
    if (a > b) return this.meets(b, a);
    const slot = this.slot(MEETS, a, b, 0);
    const known = this.recall(slot, MEETS, a, b, 0);
    if (known >= 0) return known === 1;
    const level = Math.min(this.level(a), this.level(b));
    const isSo =
      this.meets(this.lowAt(a, level), this.lowAt(b, level)) ||
      this.meets(this.highAt(a, level), this.highAt(b, level));
    return this.keep(slot, MEETS, a, b, 0, isSo ? 1 : 0) === 1;
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
    const level = Math.min(this.level(condition), this.level(a), this.level(b));
    const low = this.ite(this.lowAt(condition, level), this.lowAt(a, level), this.lowAt(b, level));
    const high = this.ite(this.highAt(condition, level), this.highAt(a, level), this.highAt(b, level));
    return this.keep(slot, ITE, condition, a, b, this.node(level, low, high));
  }

  /** Forgets the bits of a cube (a conjunction of plain bits). */
  exists(a: Ref, cube: Ref): Ref {
    if (a <= FULL || cube === FULL) return a;
    const level = this.level(a);
    let rest = cube;
    while (this.level(rest) < level) rest = this.high(rest);
    if (rest === FULL) return a;
    const slot = this.slot(EXISTS, a, rest, 0);
    const known = this.recall(slot, EXISTS, a, rest, 0);
    if (known >= 0) return known;
    const here = this.level(rest) === level;
    const after = here ? this.high(rest) : rest;
    const low = this.exists(this.low(a), after);
    if (here && low === FULL) return this.keep(slot, EXISTS, a, rest, 0, FULL);
    const high = this.exists(this.high(a), after);
    return this.keep(slot, EXISTS, a, rest, 0, here ? this.or(low, high) : this.node(level, low, high));
  }

  /** `exists(and(a, b), cube)` in one pass. */
  andExists(a: Ref, b: Ref, cube: Ref): Ref {
    if (a === EMPTY || b === EMPTY) return EMPTY;
    if (a === FULL || a === b) return this.exists(b, cube);
    if (b === FULL) return this.exists(a, cube);
    if (a > b) return this.andExists(b, a, cube);
    const level = Math.min(this.level(a), this.level(b));
    let rest = cube;
    while (this.level(rest) < level) rest = this.high(rest);
    if (rest === FULL) return this.and(a, b);
    const slot = this.slot(AND_EXISTS, a, b, rest);
    const known = this.recall(slot, AND_EXISTS, a, b, rest);
    if (known >= 0) return known;
    const here = this.level(rest) === level;
    const after = here ? this.high(rest) : rest;
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
    const low = this.cofactor(this.low(at), bits, id);
    const high = this.cofactor(this.high(at), bits, id);
    return this.keep(slot, COFACTOR, at, id, 0, this.node(this.level(at), low, high));
  }

  /** `and(a, cofactor(b))` in one pass, for a set that depends on open bits only. */
  andWithin(a: Ref, b: Ref, bits: Uint8Array, id: number): Ref {
    const at = this.followed(b, bits);
    if (a === EMPTY || at === EMPTY) return EMPTY;
    if (at === FULL || a === at) return a;
    const slot = this.slot(AND_WITHIN, a, at, id);
    const known = this.recall(slot, AND_WITHIN, a, at, id);
    if (known >= 0) return known;
    const levelA = this.level(a);
    const levelB = this.level(at);
    const isA = levelA <= levelB;
    const isB = levelB <= levelA;
    const highA = isA ? this.high(a) : a;
    const highB = isB ? this.high(at) : at;
    const low = this.andWithin(isA ? this.low(a) : a, isB ? this.low(at) : at, bits, id);
    const high = this.andWithin(highA, highB, bits, id);
    return this.keep(slot, AND_WITHIN, a, at, id, this.node(isA ? levelA : levelB, low, high));
  }

  /** `diff(a, cofactor(b))` in one pass, for a set that depends on open bits only. */
  diffWithin(a: Ref, b: Ref, bits: Uint8Array, id: number): Ref {
    const at = this.followed(b, bits);
    if (a === EMPTY || at === FULL || a === at) return EMPTY;
    if (at === EMPTY) return a;
    const slot = this.slot(DIFF_WITHIN, a, at, id);
    const known = this.recall(slot, DIFF_WITHIN, a, at, id);
    if (known >= 0) return known;
    const levelA = this.level(a);
    const levelB = this.level(at);
    const isA = levelA <= levelB;
    const isB = levelB <= levelA;
    const highA = isA ? this.high(a) : a;
    const highB = isB ? this.high(at) : at;
    const low = this.diffWithin(isA ? this.low(a) : a, isB ? this.low(at) : at, bits, id);
    const high = this.diffWithin(highA, highB, bits, id);
    return this.keep(slot, DIFF_WITHIN, a, at, id, this.node(isA ? levelA : levelB, low, high));
  }

  /** Is anything in the set where the bits are as they are fixed? `onward`: where it goes on from a node at a bit that is not. */
  meetsWhere(a: Ref, bits: Uint8Array, onward: (at: Ref) => readonly Ref[]): boolean {
    const { marks, walk } = this.newWalk();
    const pending = [a];
    for (let from = pending.pop(); from !== undefined; from = pending.pop()) {
      const at = this.followed(from, bits);
      if (at === FULL) return true;
      if (at === EMPTY || marks[at] === walk) continue;
      marks[at] = walk;
      pending.push(...onward(at));
    }
    return false;
  }

  private followed(a: Ref, bits: Uint8Array): Ref {
    let at = a;
    while (at > FULL) {
      const bit = bits[this.level(at)]!;
      if (bit > 1) return at;
      at = bit === 1 ? this.high(at) : this.low(at);
    }
    return at;
  }

  /**
   * The bits that are the same in every member of a set over so many levels: 0, 1, or `open`. A level is one of them where every
   * way to a member passes through it, and all go on by the same side.
   */
  essential(a: Ref, levels: number, open: number): Uint8Array {
    const { nodes } = this;
    const sides = new Uint8Array(levels);
    /** +1 where a stretch begins that some way passes over, -1 where it is over. */
    const skips = new Int32Array(levels + 1);
    const { marks, walk } = this.newWalk();
    const pending = [a];
    for (let ref = pending.pop(); ref !== undefined; ref = pending.pop()) {
      const at = ref * WIDTH;
      const level = nodes[at]!;
      for (let side = LOW; side <= HIGH; side++) {
        const next = nodes[at + side]!;
        if (next === EMPTY) continue;
        sides[level]! |= side;
        skips[level + 1]!++;
        if (next === FULL) {
          skips[levels]!--;
          continue;
        }
        skips[nodes[next * WIDTH]!]!--;
        if (marks[next] === walk) continue;
        marks[next] = walk;
        pending.push(next);
      }
    }
    const top = this.level(a);
    let over = top > 0 ? 1 : 0;
    for (let level = 0; level < levels; level++) {
      if (level === top) over = 0;
      over += skips[level]!;
      sides[level] = over > 0 || sides[level] === 3 ? open : sides[level]! - 1;
    }
    return sides;
  }

  private newWalk(): { readonly marks: Int32Array; readonly walk: number } {
    if (this.marks.length < this.count) this.marks = new Int32Array(this.nodes.length / WIDTH);
    return { marks: this.marks, walk: ++this.walks };
  }

  /** The levels that a set depends on, in order. */
  support(a: Ref): readonly number[] {
    const seen = new Set<Ref>();
    const levels = new Set<number>();
    const stack = [a];
    for (let at = stack.pop(); at !== undefined; at = stack.pop()) {
      if (at <= FULL || seen.has(at)) continue;
      seen.add(at);
      levels.add(this.level(at));
      stack.push(this.low(at), this.high(at));
    }
    return [...levels].sort((x, y) => x - y);
  }

  private lowAt(a: Ref, level: number): Ref {
    return this.level(a) === level ? this.low(a) : a;
  }

  private highAt(a: Ref, level: number): Ref {
    return this.level(a) === level ? this.high(a) : a;
  }

  private slot(operation: number, a: Ref, b: Ref, c: Ref): number {
    return (mix(a + operation * 0x9e3779b1, b, c) & this.cacheMask) * 4;
  }

  private recall(slot: number, operation: number, a: Ref, b: Ref, c: Ref): Ref {
    const { cache } = this;
    const same = cache[slot] === a * OPERATIONS + operation && cache[slot + 1] === b && cache[slot + 2] === c;
    return same ? cache[slot + 3]! : -1;
  }

  private keep(slot: number, operation: number, a: Ref, b: Ref, c: Ref, result: Ref): Ref {
    const { cache } = this;
    cache[slot] = a * OPERATIONS + operation;
    cache[slot + 1] = b;
    cache[slot + 2] = c;
    cache[slot + 3] = result;
    return result;
  }

  private insert(level: number, low: Ref, high: Ref, hash: number): Ref {
    if (this.count >= this.limit) throw new NodeLimit();
    invariant(level < this.level(low) && level < this.level(high), "levels must grow downwards");
    if (this.count * WIDTH === this.nodes.length) {
      this.grow();
      return this.insert(level, low, high, mix(level, low, high) & (this.buckets.length - 1));
    }
    const made = this.count++;
    const { nodes } = this;
    const at = made * WIDTH;
    nodes[at] = level;
    nodes[at + LOW] = low;
    nodes[at + HIGH] = high;
    nodes[at + NEXT] = this.buckets[hash]!;
    this.buckets[hash] = made;
    return made;
  }

  private grow(): void {
    const room = this.buckets.length * 2;
    if (room <= MOST_RESULTS) {
      this.cacheMask = room - 1;
      this.cache = new Int32Array(room * 4);
    }
    const nodes = new Int32Array(room * WIDTH);
    nodes.set(this.nodes);
    this.nodes = nodes;
    this.buckets = new Int32Array(room);
    for (let made = 2; made < this.count; made++) {
      const at = made * WIDTH;
      const hash = mix(nodes[at]!, nodes[at + LOW]!, nodes[at + HIGH]!) & (room - 1);
      nodes[at + NEXT] = this.buckets[hash]!;
      this.buckets[hash] = made;
    }
  }
}

function mix(a: number, b: number, c: number): number {
  let hash = Math.imul(a, 0x85ebca6b) ^ Math.imul(b, 0xc2b2ae35) ^ Math.imul(c, 0x27d4eb2f);
  hash ^= hash >>> 15;
  hash = Math.imul(hash, 0x2c1b3c6d);
  return (hash ^ (hash >>> 12)) >>> 0;
}
