import type { Condition } from "../../src/program/condition.js";
import { compareRational, type Quantity, type Rational } from "../../src/program/quantity.js";
import type { Gauge } from "../../src/program/system.js";

/**
 * Gauges that are compared with one another, and the constants that they are compared with. A gauge's reading is held as
 * a whole number: `whole * unit + part`, where the whole ones stand for the constants (their ranks, or, where a distance
 * is asked for, their exact values in a common measure) and the parts only say which gauge is how far past its whole
 * number, relative to the others: 0 exactly on it, 1 the least. Two readings of a family with the same numbers agree on every
 * comparison, and whatever one can move to, so can the other.
 */
export interface Family {
  readonly gauges: readonly string[];
  readonly unit: number;
  /** Every whole number that a reading may have. */
  readonly wholes: readonly number[];
  readonly scale: (value: Rational) => number;
  readonly low: ReadonlyMap<string, number>;
  readonly high: ReadonlyMap<string, number>;
}

/** Sorts the gauges into families by the comparisons that are made anywhere. */
export function familiesOf(gauges: readonly Gauge[], conditions: readonly Condition[]): Family[] {
  const leader = new Map(gauges.map((gauge) => [gauge.id, gauge.id]));
  const find = (id: string): string => {
    const up = leader.get(id)!;
    return up === id ? id : find(up);
  };
  const pairs = conditions.map(gaugesOfAtom).filter((ids) => ids.every((id) => leader.has(id)));
  for (const ids of pairs) if (ids.length === 2) leader.set(find(ids[0]!), find(ids[1]!));
  const families = new Map<string, Gauge[]>();
  for (const gauge of gauges) {
    const key = find(gauge.id);
    families.set(key, [...(families.get(key) ?? []), gauge]);
  }
  return [...families.values()].map((members) => family(members, conditions));
}

function family(members: readonly Gauge[], conditions: readonly Condition[]): Family {
  const ids = members.map((gauge) => gauge.id);
  const mine = conditions.filter((atom) => gaugesOfAtom(atom).some((id) => ids.includes(id)));
  const constants = distinct(
    [
      ...mine.flatMap(constantsOfAtom),
      ...members.flatMap((gauge) => [gauge.low, gauge.high].filter((end) => end !== undefined)),
    ].map((quantity) => quantity.value),
  );
  const distances = mine.flatMap((atom) => (atom.kind === "near" ? [atom.distance.value] : []));
  const scale = distances.length > 0 ? measured([...constants, ...distances]) : ranked(constants);
  const unit = members.length + 1;
  const points = constants.map(scale);
  const room = distances.length > 0 ? members.length * Math.max(...distances.map(scale)) + 1 : 1;
  const first = Math.min(0, ...points) - room;
  const last = Math.max(0, ...points) + (distances.length > 0 ? room : 0);
  const low = new Map<string, number>();
  const high = new Map<string, number>();
  for (const gauge of members) {
    if (gauge.low) low.set(gauge.id, scale(gauge.low.value) * unit);
    if (gauge.high) high.set(gauge.id, scale(gauge.high.value) * unit);
  }
  return { gauges: ids, unit, wholes: count(first, last), scale, low, high };
}

/** All readings that a family may have together. */
export function readingsOf(family: Family): number[][] {
  let all: number[][] = [[]];
  for (const gauge of family.gauges) {
    const options = family.wholes.flatMap((whole) =>
      count(0, family.unit - 1).map((part) => whole * family.unit + part),
    );
    const fit = options.filter((value) => inRange(family, gauge, value));
    all = all.flatMap((readings) => fit.map((value) => [...readings, value]));
  }
  return all.filter((readings) => String(tidy(family.unit, readings)) === String(readings));
}

/** Every reading of the family after the gauge at `place` has moved to any value; the one it had is among them. */
export function movesOf(family: Family, readings: readonly number[], place: number): number[][] {
  const fine = 2 * family.unit;
  const doubled = readings.map((value) => Math.floor(value / family.unit) * fine + 2 * mod(value, family.unit));
  const results = new Map<string, number[]>();
  for (const whole of family.wholes)
    for (const part of count(0, fine - 1)) {
      const moved = doubled.map((value, index) => (index === place ? whole * fine + part : value));
      const result = tidyFrom(fine, family.unit, moved);
      if (inRange(family, family.gauges[place]!, result[place]!)) results.set(String(result), result);
    }
  return [...results.values()];
}

/** Below the least whole number nothing can be told apart: a reading is never just there, where none could be less. */
function inRange(family: Family, gauge: string, value: number): boolean {
  if (value <= family.wholes[0]! * family.unit) return false;
  return value >= (family.low.get(gauge) ?? -Infinity) && value <= (family.high.get(gauge) ?? Infinity);
}

function tidy(unit: number, readings: readonly number[]): number[] {
  return tidyFrom(unit, unit, readings);
}

/** Renumbers the parts 1, 2, ... in their order; a part of 0 stays. */
function tidyFrom(from: number, to: number, readings: readonly number[]): number[] {
  const parts = [...new Set(readings.map((value) => mod(value, from)))]
    .filter((part) => part > 0)
    .sort((a, b) => a - b);
  return readings.map((value) => Math.floor(value / from) * to + (parts.indexOf(mod(value, from)) + 1));
}

function gaugesOfAtom(atom: Condition): string[] {
  if (atom.kind === "near") return [atom.left, atom.right];
  if (atom.kind === "band") return [atom.gauge];
  if (atom.kind !== "compare") return [];
  return [atom.left, atom.right].flatMap((term) => (term.kind === "gauge" ? [term.gauge] : []));
}

function constantsOfAtom(atom: Condition): Quantity[] {
  if (atom.kind === "band") return [atom.low, atom.high].filter((end) => end !== undefined);
  if (atom.kind !== "compare") return [];
  return [atom.left, atom.right].flatMap((term) => (term.kind === "constant" ? [term.value] : []));
}

function ranked(constants: readonly Rational[]): (value: Rational) => number {
  const sorted = [...constants].sort(compareRational);
  return (value) => sorted.findIndex((constant) => compareRational(constant, value) === 0);
}

/** The exact value in the largest measure that divides all. */
function measured(values: readonly Rational[]): (value: Rational) => number {
  const denominator = values.reduce((all, value) => (all * value.denominator) / gcd(all, value.denominator), 1n);
  const numerators = values.map((value) => (value.numerator * denominator) / value.denominator);
  const measure = numerators.reduce((all, value) => gcd(all, value), 0n) || 1n;
  return (value) => Number((value.numerator * denominator) / value.denominator / measure);
}

function distinct(values: readonly Rational[]): Rational[] {
  return values.filter((value, index) => values.findIndex((other) => compareRational(other, value) === 0) === index);
}

function gcd(a: bigint, b: bigint): bigint {
  const positive = a < 0n ? -a : a;
  return b === 0n ? positive : gcd(b, positive % b);
}

function count(first: number, last: number): number[] {
  return Array.from({ length: last - first + 1 }, (_, index) => first + index);
}

function mod(value: number, unit: number): number {
  return ((value % unit) + unit) % unit;
}
