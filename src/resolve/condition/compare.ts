import type { Finding } from "../../diagnostics/finding.js";
import type { CompareOperator, Condition, Term } from "../../program/condition.js";
import { addRational, compareRational, negateRational, type Quantity } from "../../program/quantity.js";
import type { Span } from "../../source/file.js";
import type { ConditionSyntax, TermSyntax } from "../../syntax/condition/ast.js";
import { wrongKind } from "../names/complaints.js";
import { lookupOne, type Sought } from "../names/lookup.js";
import { called, type Family, type FamilyKind } from "../names/table.js";
import { difference, reading } from "../quantity.js";
import { type Measured, outsideRange, unlikeUnits, unreadable } from "../quantity-complaints.js";
import { scalarAt } from "../read.js";
import type { Scene } from "../scene.js";
import { unitOf } from "../units.js";
import { rangeOf } from "./band.js";
import { saysNothing } from "./complaints.js";

type Compare = Extract<ConditionSyntax, { kind: "compare" }>;
type Near = Extract<ConditionSyntax, { kind: "near" }>;

export const GAUGE: Sought = { what: "the name of a gauge", kinds: ["gauge"] };

/** `day-tank.port >= 100 L`: at least one side is a gauge, and both measure the same thing. */
export function compareOf(syntax: Compare, scene: Scene): Condition | undefined {
  const left = termOf(syntax.left, scene);
  const right = termOf(syntax.right, scene);
  if (!left || !right || !comparable(left, right, syntax.span, scene)) return undefined;
  checkRange(left, right, scene);
  checkRange(right, left, scene);
  return { kind: "compare", left: left.term, operator: syntax.operator, right: right.term, span: syntax.span };
}

/** `a is within 50 L of b`; against a constant it is the closed interval around it. */
export function nearOf(syntax: Near, scene: Scene): Condition | undefined {
  const left = termOf(syntax.left, scene);
  const right = termOf(syntax.right, scene);
  const distance = distanceOf(syntax.distance, scene);
  if (!left || !right || !distance || !comparable(left, right, syntax.span, scene)) return undefined;
  if (!alike(left.measured, distance, syntax.distance.span, scene)) return undefined;
  return nearTerms(left.term, right.term, distance, syntax.span);
}

export function notAGauge(name: string, at: Span, kind: FamilyKind): Finding {
  const message = `\`${name}\` is ${called(kind)}, not a gauge`;
  return wrongKind(name, at, message, "numbers are read from gauges; of the rest say `is` and a position or state");
}

interface ReadTerm {
  readonly term: Term;
  /** Of a gauge: what declares it. */
  readonly family?: Family;
  readonly measured: Measured;
  readonly span: Span;
}

function termOf(syntax: TermSyntax, scene: Scene): ReadTerm | undefined {
  return syntax.kind === "name" ? gaugeTerm(syntax.text, syntax.span, scene) : constantTerm(syntax, scene);
}

function gaugeTerm(name: string, span: Span, scene: Scene): ReadTerm | undefined {
  const member = lookupOne(name, span, scene, GAUGE);
  if (!member) return undefined;
  const { kind, unit } = member.family;
  if (kind !== "gauge") return void scene.report(notAGauge(name, span, kind));
  const { dimension } = unitOf(unit);
  const measured = { text: member.id, unit, dimension };
  return { term: { kind: "gauge", gauge: member.id }, family: member.family, measured, span };
}

function constantTerm(syntax: TermSyntax & { kind: "quantity" }, scene: Scene): ReadTerm | undefined {
  const value = reading(syntax.number, syntax.unit);
  if (value) return { term: { kind: "constant", value }, measured: value, span: syntax.span };
  scene.report(unreadable(syntax.number, syntax.span, "a number", "write it with digits and one decimal point"));
  return undefined;
}

function distanceOf(syntax: Near["distance"], scene: Scene): Quantity | undefined {
  const distance = difference(syntax.number, syntax.unit);
  if (distance && distance.value.numerator >= 0n) return distance;
  scene.report(unreadable(syntax.number, syntax.span, "a distance", "write a number that is not below zero"));
  return undefined;
}

function comparable(left: ReadTerm, right: ReadTerm, at: Span, scene: Scene): boolean {
  if (left.term.kind === "constant" && right.term.kind === "constant") {
    const message = `\`${left.measured.text}\` and \`${right.measured.text}\` are both numbers, so nothing is read`;
    scene.report(saysNothing(left.measured.text, at, message, "name the gauge that is read"));
    return false;
  }
  return left.term.kind === "gauge"
    ? alike(left.measured, right.measured, right.span, scene)
    : alike(right.measured, left.measured, left.span, scene);
}

function checkRange({ family, measured }: ReadTerm, { term, span }: ReadTerm, scene: Scene): void {
  const written = family?.node.kind === "map" ? scalarAt(family.node, "range") : undefined;
  if (!family || !written || term.kind !== "constant") return;
  const { low, high } = rangeOf(written, family.unit, () => {});
  const isBelow = low && compareRational(term.value.value, low.value) < 0;
  const isAbove = high && compareRational(term.value.value, high.value) > 0;
  if (isBelow || isAbove) {
    scene.report(outsideRange(term.value.text, measured.text, `${written.text} ${family.unit}`, span));
  }
}

function alike(gauge: Measured, other: Measured, at: Span, scene: Scene): boolean {
  if (gauge.dimension === other.dimension) return true;
  scene.report(unlikeUnits(gauge, other, at));
  return false;
}

function nearTerms(left: Term, right: Term, distance: Quantity, span: Span): Condition {
  if (left.kind === "gauge" && right.kind === "gauge") {
    return { kind: "near", left: left.gauge, right: right.gauge, distance, span };
  }
  const [gauge, constant] = left.kind === "gauge" ? [left, right] : [right, left];
  const middle = constant.kind === "constant" ? constant.value : distance;
  const compare = (operator: CompareOperator, value: Quantity): Condition => {
    return { kind: "compare", left: gauge, operator, right: { kind: "constant", value }, span };
  };
  return {
    kind: "and",
    of: [compare(">=", shifted(middle, distance, -1)), compare("<=", shifted(middle, distance, 1))],
    span,
  };
}

/** The middle moved by the distance; its text is kept readable as a sum of the two. */
function shifted(middle: Quantity, distance: Quantity, sign: 1 | -1): Quantity {
  const by = sign === 1 ? distance.value : negateRational(distance.value);
  return {
    ...middle,
    text: `${middle.text} ${sign === 1 ? "+" : "-"} ${distance.text}`,
    value: addRational(middle.value, by),
  };
}
