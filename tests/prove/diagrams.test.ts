import fc from "fast-check";
import { expect, test } from "vitest";
import { Bdd, EMPTY, FULL, type Ref } from "../../src/machine/symbolic/bdd.js";

/**
 * Diagrams against truth tables: a set of valuations of five bits is a word of 32, one bit for each valuation, in which the operations
 * of sets are those of the processor (Knuth, The Art of Computer Programming 4A, 7.1.3, from memory).
 */
const BITS = 5;
const ALL = 0xffffffff;

/** In which valuations the bit at a level is one. */
const COLUMNS = Array.from({ length: BITS }, (_, level) => valuations((bits) => bits[level] === 1));

const table = fc.integer({ min: 0, max: ALL });
/** For each level 0, 1, or 2 for open. */
const rows = fc.array(fc.integer({ min: 0, max: 2 }), { minLength: BITS, maxLength: BITS });

function valuations(isIn: (bits: readonly number[]) => boolean): number {
  let word = 0;
  for (let at = 0; at < 32; at++) {
    const bits = Array.from({ length: BITS }, (_, level) => (at >> level) & 1);
    if (isIn(bits)) word |= 1 << at;
  }
  return word >>> 0;
}

/** The diagram of a truth table, from its single valuations. */
function diagramOf(bdd: Bdd, word: number, level = 0, at = 0): Ref {
  if (level === BITS) return (word >>> at) & 1 ? FULL : EMPTY;
  return bdd.node(level, diagramOf(bdd, word, level + 1, at), diagramOf(bdd, word, level + 1, at | (1 << level)));
}

function tableOf(bdd: Bdd, set: Ref): number {
  return valuations((bits) => {
    let at = set;
    while (at > FULL) at = bits[bdd.level(at)] === 1 ? bdd.high(at) : bdd.low(at);
    return at === FULL;
  });
}

/** The table where some bits are as they are fixed, whatever those bits are. */
function fixedIn(word: number, row: readonly number[]): number {
  return valuations((bits) => {
    const at = bits.reduce((sum, bit, level) => sum | ((row[level] === 2 ? bit : row[level]!) << level), 0);
    return ((word >>> at) & 1) === 1;
  });
}

/** The table with a bit forgotten. */
function without(word: number, level: number): number {
  const shift = 1 << level;
  const high = (word & COLUMNS[level]!) >>> 0;
  const low = (word & ~COLUMNS[level]!) >>> 0;
  return (high | (high >>> shift) | low | (low << shift)) >>> 0;
}

const cubeOf = (bdd: Bdd, levels: readonly number[]): Ref =>
  [...levels].sort((a, b) => b - a).reduce((cube, level) => bdd.node(level, EMPTY, cube), FULL);

test("operations on diagrams come to what they come to on truth tables", () => {
  fc.assert(
    fc.property(table, table, table, fc.uniqueArray(fc.nat({ max: BITS - 1 })), rows, (a, b, c, levels, row) => {
      const bdd = new Bdd();
      const [x, y, z] = [diagramOf(bdd, a), diagramOf(bdd, b), diagramOf(bdd, c)];
      const forgotten = (word: number) => levels.reduce(without, word);
      const cube = cubeOf(bdd, levels);
      const bits = Uint8Array.from(row);
      const open = bdd.cofactor(x, bits, 7);
      const onOpen = fixedIn(a, row);
      const same = (set: Ref, word: number) => {
        expect(tableOf(bdd, set)).toBe(word >>> 0);
        expect(set).toBe(diagramOf(bdd, word >>> 0));
      };
      same(bdd.and(x, y), a & b);
      same(bdd.or(x, y), a | b);
      same(bdd.diff(x, y), a & ~b);
      same(bdd.not(x), ~a);
      same(bdd.ite(x, y, z), (a & b) | (~a & c));
      same(bdd.exists(x, cube), forgotten(a));
      same(bdd.andExists(x, y, cube), forgotten((a & b) >>> 0));
      same(open, onOpen);
      same(bdd.andWithin(open, y, bits, 7), onOpen & fixedIn(b, row));
      same(bdd.diffWithin(open, y, bits, 7), onOpen & ~fixedIn(b, row));
      expect(bdd.meets(x, y)).toBe((a & b) !== 0);
      expect(bdd.isWithin(x, y)).toBe((a & ~b) === 0);
      expect(bdd.meetsWhere(x, bits, (at) => [bdd.low(at), bdd.high(at)])).toBe(onOpen !== 0);
    }),
    { numRuns: 2000 },
  );
});

test("the bits that are the same in all of a set are found", () => {
  fc.assert(
    fc.property(table, rows, (word, row) => {
      const inRow = valuations((bits) => row.every((bit, level) => bit === 2 || bit === bits[level]));
      const set = (word & inRow) >>> 0;
      fc.pre(set !== 0 && set !== ALL);
      const bdd = new Bdd();
      const expected = COLUMNS.map((column) => ((set & ~column) === 0 ? 1 : (set & column) === 0 ? 0 : 2));
      expect([...bdd.essential(diagramOf(bdd, set), BITS, 2)]).toEqual(expected);
    }),
    { numRuns: 2000 },
  );
});
