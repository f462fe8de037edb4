import { invariant } from "../invariant.js";

/** A finite variable of the machine: a control, the state of equipment, a clock, a memory of the past. Values are 0..size-1. */
export interface Variable {
  readonly index: number;
  readonly name: string;
  readonly size: number;
  readonly role: VariableRole;
}

/** A reading that a gauge is compared with, as written where somebody wrote it; `end`: of its range. */
export interface Mark {
  readonly text?: string;
  readonly end?: "low" | "high";
}

/** A difference that two gauges are compared by: `text` is its size, as written. */
export interface Gap {
  readonly text: string;
  readonly sign: -1 | 0 | 1;
}

/** What a variable stands for; the words of a story are made from it. */
export type VariableRole =
  | { readonly kind: "control" | "equipment" | "outside"; readonly thing: string }
  /** Where a gauge stands among its constants: odd values are the constants themselves, even ones the gaps between them. */
  | { readonly kind: "gauge-place"; readonly gauge: string; readonly marks: readonly Mark[] }
  /** Where the difference of two gauges stands among its constants. */
  | { readonly kind: "gauge-difference"; readonly left: string; readonly right: string; readonly gaps: readonly Gap[] }
  /** What a light without logic reads, drawn afresh at each look. */
  | { readonly kind: "reading"; readonly light: string }
  /** Bookkeeping: clocks, marks, monitors, and copies of values at the moment before. */
  | { readonly kind: "memory" | "before" };

/** A truth about the present values of variables: what conditions, lights and rules come down to. */
export type Expression =
  | { readonly kind: "constant"; readonly value: boolean }
  /** The variable has one of the values (sorted, neither none nor all). */
  | { readonly kind: "in"; readonly variable: Variable; readonly values: readonly number[] }
  | { readonly kind: "and" | "or"; readonly of: readonly Expression[] }
  | { readonly kind: "not"; readonly of: Expression };

export const TRUE: Expression = { kind: "constant", value: true };
export const FALSE: Expression = { kind: "constant", value: false };

export function isIn(variable: Variable, values: readonly number[]): Expression {
  const sorted = [...new Set(values)].sort((a, b) => a - b);
  invariant(
    sorted.every((value) => value >= 0 && value < variable.size),
    `value out of range of ${variable.name}`,
  );
  if (sorted.length === 0) return FALSE;
  if (sorted.length === variable.size) return TRUE;
  return { kind: "in", variable, values: sorted };
}

export function equals(variable: Variable, value: number): Expression {
  return isIn(variable, [value]);
}

export function not(of: Expression): Expression {
  if (of.kind === "constant") return of.value ? FALSE : TRUE;
  if (of.kind === "not") return of.of;
  return { kind: "not", of };
}

export function and(...of: readonly Expression[]): Expression {
  return join("and", of);
}

export function or(...of: readonly Expression[]): Expression {
  return join("or", of);
}

function join(kind: "and" | "or", of: readonly Expression[]): Expression {
  const neutral = kind === "and";
  const parts: Expression[] = [];
  for (const part of of) {
    if (part.kind === "constant") {
      if (part.value !== neutral) return part;
    } else if (part.kind === kind) parts.push(...part.of);
    else parts.push(part);
  }
  if (parts.length === 0) return neutral ? TRUE : FALSE;
  return parts.length === 1 ? parts[0]! : { kind, of: parts };
}

/** The variable differs from its copy of the moment before. A copy may have one value more, which equals nothing. */
export function differs(variable: Variable, copy: Variable): Expression {
  const same = Array.from({ length: variable.size }, (_, value) => and(equals(variable, value), equals(copy, value)));
  return not(or(...same));
}

/** Adds every variable that the expression names to `into`. */
export function collectVariables(expression: Expression, into: Set<Variable>): void {
  switch (expression.kind) {
    case "constant":
      return;
    case "in":
      into.add(expression.variable);
      return;
    case "not":
      collectVariables(expression.of, into);
      return;
    case "and":
    case "or":
      for (const part of expression.of) collectVariables(part, into);
  }
}

/** The variables that the expression names. The answer is kept: expressions are never changed. */
export function variablesOf(expression: Expression): ReadonlySet<Variable> {
  const known = supports.get(expression);
  if (known) return known;
  const found = new Set<Variable>();
  collectVariables(expression, found);
  supports.set(expression, found);
  return found;
}

const supports = new WeakMap<Expression, ReadonlySet<Variable>>();

/** The truth of an expression in one state: `state[variable.index]` is the variable's value. */
export function evaluate(expression: Expression, state: ArrayLike<number>): boolean {
  switch (expression.kind) {
    case "constant":
      return expression.value;
    case "in":
      return expression.values.includes(state[expression.variable.index]!);
    case "not":
      return !evaluate(expression.of, state);
    case "and":
      return expression.of.every((part) => evaluate(part, state));
    case "or":
      return expression.of.some((part) => evaluate(part, state));
  }
}
