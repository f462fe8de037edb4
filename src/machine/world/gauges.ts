import { invariant } from "../../invariant.js";
import type { CompareOperator, Condition } from "../../program/condition.js";
import {
  addRational,
  compareRational,
  negateRational,
  type Quantity,
  type Rational,
  rational,
} from "../../program/quantity.js";
import type { System } from "../../program/system.js";
import { walkCondition } from "../../program/walk.js";
import {
  and,
  type Expression,
  FALSE,
  type Gap,
  isIn,
  type Mark,
  not,
  or,
  TRUE,
  type Variable,
  type VariableRole,
} from "../expression.js";

/**
 * Gauges are real numbers known by their order only. Each gauge has a place among the constants it is compared with, and
 * each pair of gauges that hang together a place of their difference. Which places go together is found by difference
 * constraints: a set of them is possible when its graph has no cycle of negative length.
 *
 * Gauges that hang together share their constants: when one of them moves, the others still tell where it was. With order alone
 * this is exact. With `is within ... of` the constants are carried one step from gauge to gauge, so a chain of alternating moves
 * and looks can forget a bound; and where many gauges hang together only what is asked is kept. Then more is thought possible
 * than is, never less.
 */
export class Gauges {
  private readonly clusters = new Map<string, Cluster>();

  constructor(
    system: System,
    conditions: Iterable<Condition>,
    variable: (name: string, size: number, role: VariableRole) => Variable,
  ) {
    const atoms = [...conditions].flatMap((condition) => [...walkCondition(condition)].filter(isGaugeAtom));
    for (const members of clustersOf(atoms)) {
      const cluster = buildCluster(system, members, atoms, variable);
      for (const member of members) this.clusters.set(member, cluster);
    }
  }

  lower(condition: GaugeAtom): Expression {
    switch (condition.kind) {
      case "compare": {
        const { left, right, operator } = condition;
        if (left.kind === "gauge" && right.kind === "gauge") {
          return this.compareDifference(left.gauge, right.gauge, operator, ZERO);
        }
        if (left.kind === "gauge" && right.kind === "constant")
          return this.comparePlace(left.gauge, operator, right.value.value);
        if (left.kind === "constant" && right.kind === "gauge") {
          return this.comparePlace(right.gauge, MIRROR[operator], left.value.value);
        }
        invariant(left.kind === "constant" && right.kind === "constant", "a term is a gauge or a constant");
        return holds(operator, compareRational(left.value.value, right.value.value)) ? TRUE : FALSE;
      }
      case "near": {
        const { left, right, distance } = condition;
        return and(
          this.compareDifference(left, right, "<=", distance.value),
          this.compareDifference(left, right, ">=", negateRational(distance.value)),
        );
      }
      case "band": {
        const low = condition.low ? this.comparePlace(condition.gauge, ">=", condition.low.value) : TRUE;
        const high = condition.high ? this.comparePlace(condition.gauge, "<=", condition.high.value) : TRUE;
        return condition.negated ? not(and(low, high)) : and(low, high);
      }
    }
  }

  /** What a move of the gauge redraws, and what keeps it possible. Undefined: nothing ever looks at it. */
  moved(gauge: string): { readonly variables: readonly Variable[]; readonly constraint: Expression } | undefined {
    const cluster = this.clusters.get(gauge);
    if (!cluster) return undefined;
    const variables = cluster.readings.filter((reading) => reading.left === gauge || reading.right === gauge);
    return { variables: variables.map((reading) => reading.variable), constraint: cluster.possible };
  }

  /** What is possible at all: the constraint of every cluster. */
  possible(): readonly Expression[] {
    return [...new Set(this.clusters.values())].map((cluster) => cluster.possible);
  }

  private comparePlace(gauge: string, operator: CompareOperator, constant: Rational): Expression {
    return compareReading(this.reading(gauge, undefined), operator, constant);
  }

  private compareDifference(left: string, right: string, operator: CompareOperator, constant: Rational): Expression {
    if (left === right) return holds(operator, compareRational(ZERO, constant)) ? TRUE : FALSE;
    if (left < right) return compareReading(this.reading(left, right), operator, constant);
    return compareReading(this.reading(right, left), MIRROR[operator], negateRational(constant));
  }

  private reading(left: string, right: string | undefined): Reading {
    const found = this.clusters.get(left)?.readings.find((reading) => reading.left === left && reading.right === right);
    invariant(found, `gauge ${left} was not announced`);
    return found;
  }
}

export type GaugeAtom = Extract<Condition, { kind: "compare" | "near" | "band" }>;

/** `left` alone, or `left - right`, among sorted constants: value 2i is the gap below constant i, 2i+1 the constant itself. */
interface Reading {
  readonly left: string;
  readonly right: string | undefined;
  readonly constants: readonly Rational[];
  readonly variable: Variable;
}

interface Cluster {
  readonly readings: readonly Reading[];
  readonly possible: Expression;
}

const ZERO = rational(0n);
const MIRROR: Record<CompareOperator, CompareOperator> = {
  "<": ">",
  "<=": ">=",
  "=": "=",
  "!=": "!=",
  ">=": "<=",
  ">": "<",
};

function isGaugeAtom(condition: Condition): condition is GaugeAtom {
  return condition.kind === "compare" || condition.kind === "near" || condition.kind === "band";
}

function holds(operator: CompareOperator, order: number): boolean {
  switch (operator) {
    case "<":
      return order < 0;
    case "<=":
      return order <= 0;
    case "=":
      return order === 0;
    case "!=":
      return order !== 0;
    case ">=":
      return order >= 0;
    case ">":
      return order > 0;
  }
}

function compareReading(reading: Reading, operator: CompareOperator, constant: Rational): Expression {
  const at = reading.constants.findIndex((candidate) => compareRational(candidate, constant) === 0);
  invariant(at >= 0, "a constant was not announced");
  const values = Array.from({ length: reading.variable.size }, (_, value) => value);
  return isIn(
    reading.variable,
    values.filter((value) => holds(operator, value - (2 * at + 1))),
  );
}

function gaugesOf(atom: GaugeAtom): readonly string[] {
  if (atom.kind === "band") return [atom.gauge];
  if (atom.kind === "near") return [atom.left, atom.right];
  return [atom.left, atom.right].flatMap((term) => (term.kind === "gauge" ? [term.gauge] : []));
}

function clustersOf(atoms: readonly GaugeAtom[]): readonly (readonly string[])[] {
  const clusters: Set<string>[] = [];
  for (const atom of atoms) {
    const names = gaugesOf(atom);
    const touched = clusters.filter((cluster) => names.some((name) => cluster.has(name)));
    const merged = new Set([...names, ...touched.flatMap((cluster) => [...cluster])]);
    for (const cluster of touched) clusters.splice(clusters.indexOf(cluster), 1);
    if (merged.size > 0) clusters.push(merged);
  }
  return clusters.map((cluster) => [...cluster].sort());
}

function buildCluster(
  system: System,
  members: readonly string[],
  atoms: readonly GaugeAtom[],
  variable: (name: string, size: number, role: VariableRole) => Variable,
): Cluster {
  const own = atoms.filter((atom) => gaugesOf(atom).some((name) => members.includes(name)));
  const distances = unique(
    own.flatMap((atom) => (atom.kind === "near" ? [atom.distance.value, negateRational(atom.distance.value)] : [])),
  );
  const written = new Map(members.map((member) => [member, writtenPlaces(system, member, own)]));
  const places = new Map([...written].map(([member, found]) => [member, unique(found.map(({ value }) => value))]));
  const outlines = [fullOutline(members, places, distances), lossyOutline(members, places, distances, own)];
  const outline = outlines.find(({ cases }) => cases <= MOST_CASES) ?? outlines[1]!;
  const readings: Reading[] = members.map((left) => {
    const constants = outline.constants.get(left)!;
    const marks = constants.map((constant) => markOf(system, left, written.get(left)!, constant));
    const role: VariableRole = { kind: "gauge-place", gauge: left, marks };
    return {
      left,
      right: undefined,
      constants,
      variable: variable(`place of ${left}`, sizeFor(constants), role),
    };
  });
  for (const [left, right] of outline.pairs) {
    const constants = unique([ZERO, ...distances]);
    const gaps = constants.map((constant) => gapOf(own, constant));
    const role: VariableRole = { kind: "gauge-difference", left, right, gaps };
    readings.push({ left, right, constants, variable: variable(`${left} - ${right}`, sizeFor(constants), role) });
  }
  const isWhole = outline === outlines[0] && distances.length > 0;
  return { readings, possible: possibleReadings(system, members, readings, isWhole) };
}

/** What is kept of a cluster: the constants of each gauge, and the pairs of which the difference is followed. */
interface Outline {
  readonly constants: ReadonlyMap<string, readonly Rational[]>;
  readonly pairs: readonly (readonly [string, string])[];
  /** How many cases there are to tell apart, at most. */
  readonly cases: number;
}

/** All that can bear on what is asked: every gauge among the constants of all. */
function fullOutline(
  members: readonly string[],
  places: ReadonlyMap<string, readonly Rational[]>,
  distances: readonly Rational[],
): Outline {
  const all = unique([...places.values()].flat());
  const constants = new Map(
    members.map((member) => {
      const others = members.filter((other) => other !== member).flatMap((other) => places.get(other)!);
      return [member, unique([...all, ...others.flatMap((c) => distances.map((d) => addRational(c, d)))])];
    }),
  );
  const pairs = members.flatMap((left) =>
    members.filter((other) => left < other).map((right) => [left, right] as const),
  );
  const ofPlaces = [...constants.values()].reduce((product, list) => product * sizeFor(list), 1);
  const cases = distances.length === 0 ? ofPlaces : ofPlaces * sizeFor([ZERO, ...distances]) ** pairs.length;
  return { constants, pairs, cases };
}

/** Only what is asked: each gauge among its own constants, and the pairs that somebody compares. */
function lossyOutline(
  members: readonly string[],
  places: ReadonlyMap<string, readonly Rational[]>,
  distances: readonly Rational[],
  atoms: readonly GaugeAtom[],
): Outline {
  const compared = atoms.flatMap((atom) => {
    const [left, right] = [...new Set(gaugesOf(atom))].sort();
    return left !== undefined && right !== undefined ? [`${left} ${right}`] : [];
  });
  const pairs = [...new Set(compared)].map((pair) => pair.split(" ") as [string, string]);
  const near = (member: string) =>
    pairs.flatMap(([left, right]) => (left === member ? [right] : right === member ? [left] : []));
  const constants = new Map(
    members.map((member) => {
      const carried = near(member).flatMap((other) => places.get(other)!);
      const own = [...places.get(member)!, ...carried.flatMap((c) => distances.map((d) => addRational(c, d)))];
      return [member, unique(own)];
    }),
  );
  return { constants, pairs, cases: 0 };
}

/** Cases of a cluster that are still told apart exactly. */
const MOST_CASES = 200_000;

function sizeFor(constants: readonly Rational[]): number {
  return 2 * constants.length + 1;
}

/** The constants that a gauge is compared with, and the ends of its range. */
function writtenPlaces(system: System, gauge: string, atoms: readonly GaugeAtom[]): readonly Quantity[] {
  const declared = system.gauges.get(gauge);
  const found = [declared?.low, declared?.high];
  for (const atom of atoms) {
    if (atom.kind === "band" && atom.gauge === gauge) found.push(atom.low, atom.high);
    if (atom.kind !== "compare") continue;
    const terms = [atom.left, atom.right];
    if (!terms.some((term) => term.kind === "gauge" && term.gauge === gauge)) continue;
    found.push(...terms.map((term) => (term.kind === "constant" ? term.value : undefined)));
  }
  return found.filter((quantity) => quantity !== undefined);
}

function markOf(system: System, gauge: string, written: readonly Quantity[], constant: Rational): Mark {
  const equal = (quantity: Quantity | undefined) =>
    quantity !== undefined && compareRational(quantity.value, constant) === 0;
  const { low, high } = system.gauges.get(gauge) ?? {};
  const text = written.find(equal)?.text;
  const end = equal(low) ? "low" : equal(high) ? "high" : undefined;
  return { ...(text === undefined ? {} : { text }), ...(end ? { end } : {}) };
}

function unique(values: readonly Rational[]): Rational[] {
  const sorted = [...values].sort(compareRational);
  return sorted.filter((value, index) => index === 0 || compareRational(sorted[index - 1]!, value) !== 0);
}

function gapOf(atoms: readonly GaugeAtom[], constant: Rational): Gap {
  const sign = compareRational(constant, ZERO);
  const size = sign < 0 ? negateRational(constant) : constant;
  const written = atoms.find((atom) => atom.kind === "near" && compareRational(atom.distance.value, size) === 0);
  return { sign, text: written?.kind === "near" ? written.distance.text : "" };
}

/** Bounds of differences: `bounds[i][j]` bounds x_i - x_j from above, in a scale where one less means strictly below. */
type Bounds = readonly (readonly (bigint | undefined)[])[];

/**
 * What keeps the readings of a cluster possible. Where only order counts, any two gauges among the constants and any three among
 * themselves decide it. With distances only all together (`isWhole`) do; left at twos and threes more is thought possible than is.
 */
function possibleReadings(
  system: System,
  members: readonly string[],
  readings: readonly Reading[],
  isWhole: boolean,
): Expression {
  if (members.length === 1 || isWhole) return possibleAmong(system, members, readings);
  const pairs = readings.filter((reading) => reading.right !== undefined);
  const isAmong = (names: readonly string[], { left, right }: Reading) =>
    names.includes(left) && (right === undefined || names.includes(right));
  const twos = pairs.map(({ left, right }) => [left, right!]);
  const threes = twos.flatMap(([left, right]) =>
    members.filter((third) => third > right!).map((third) => [left!, right!, third]),
  );
  return and(
    ...twos.map((names) => {
      const here = readings.filter((reading) => isAmong(names, reading));
      return possibleAmong(system, names, here);
    }),
    ...threes.map((names) => {
      const here = pairs.filter((reading) => isAmong(names, reading));
      return here.length === 3 ? possibleAmong(system, names, here) : TRUE;
    }),
  );
}

/** The readings of some gauges that go together. */
function possibleAmong(system: System, members: readonly string[], readings: readonly Reading[]): Expression {
  const denominators = readings.flatMap((reading) => reading.constants.map((constant) => constant.denominator));
  const common = denominators.reduce((product, denominator) => lcm(product, denominator), 1n);
  const scale = BigInt(members.length + 2);
  const weight = (value: Rational) => value.numerator * (common / value.denominator) * scale;
  const node = (name: string | undefined) => (name === undefined ? 0 : members.indexOf(name) + 1);
  const size = members.length + 1;
  let start: Bounds | undefined = Array.from({ length: size }, (_, i) =>
    Array.from({ length: size }, (_, j) => (i === j ? 0n : undefined)),
  );
  for (const member of members) {
    const gauge = system.gauges.get(member);
    if (gauge?.low) start = start && tighten(start, 0, node(member), -weight(gauge.low.value));
    if (gauge?.high) start = start && tighten(start, node(member), 0, weight(gauge.high.value));
  }
  return start ? search(start, 0) : FALSE;

  function search(bounds: Bounds, index: number): Expression {
    const reading = readings[index];
    if (!reading) return TRUE;
    const ways: Expression[] = [];
    for (let value = 0; value < reading.variable.size; value++) {
      const narrowed = narrow(bounds, reading, value);
      if (!narrowed) continue;
      const rest = search(narrowed, index + 1);
      if (rest !== FALSE) ways.push(and(isIn(reading.variable, [value]), rest));
    }
    return or(...ways);
  }

  function narrow(bounds: Bounds, reading: Reading, value: number): Bounds | undefined {
    const [left, right] = [node(reading.left), node(reading.right)];
    const strict = value % 2 === 0 ? 1n : 0n;
    const above = reading.constants[value % 2 === 0 ? value / 2 : (value - 1) / 2];
    const below = reading.constants[value % 2 === 0 ? value / 2 - 1 : (value - 1) / 2];
    const upper = above ? tighten(bounds, left, right, weight(above) - strict) : bounds;
    return upper && below ? tighten(upper, right, left, -weight(below) - strict) : upper;
  }
}

/** The bounds with x_i - x_j at most `bound` added, closed again; undefined where that is impossible. */
function tighten(bounds: Bounds, i: number, j: number, bound: bigint): Bounds | undefined {
  const back = bounds[j]![i];
  if (back !== undefined && back + bound < 0n) return undefined;
  return bounds.map((row, a) =>
    row.map((present, b) => {
      const [before, after] = [bounds[a]![i], bounds[j]![b]];
      if (before === undefined || after === undefined) return present;
      const through = before + bound + after;
      return present === undefined || through < present ? through : present;
    }),
  );
}

function lcm(a: bigint, b: bigint): bigint {
  const gcd = (x: bigint, y: bigint): bigint => (y === 0n ? x : gcd(y, x % y));
  return (a / gcd(a, b)) * b;
}
