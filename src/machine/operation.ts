import type { Expression, Variable } from "./expression.js";

/**
 * What a transition is made of. This is the only meaning of a step: sets of states (forward and backward) and single
 * states are both carried through the same operations.
 */
export type Operation =
  /** Goes on only where the condition holds. */
  | { readonly kind: "assume"; readonly condition: Expression }
  | { readonly kind: "assign"; readonly variable: Variable; readonly value: number }
  /** The variables take any values that satisfy the constraint. */
  | { readonly kind: "havoc"; readonly variables: readonly Variable[]; readonly constraint: Expression }
  /** `only`: no case holds where this does not, which says it sooner. */
  | { readonly kind: "choose"; readonly cases: Choice; readonly only?: Expression }
  /** Immediate changes fire in rounds until none can: those given, if no others can here; `settled` is where none of them can. */
  | { readonly kind: "settle"; readonly among?: Settling }
  /** Remembers a truth, or a value, in a variable that `forget` drops. */
  | { readonly kind: "remember"; readonly variable: Variable; readonly truth: Expression }
  | { readonly kind: "copy"; readonly variable: Variable; readonly of: Variable }
  | { readonly kind: "forget"; readonly variables: readonly Variable[] };

/** Immediate changes, one choice for each piece of equipment, and the states in which none of them can fire. */
export interface Settling {
  readonly choices: readonly Choice[];
  readonly settled: Expression;
}

/** The first case that holds is taken, its assignments made; where none holds nothing changes. */
export type Choice = readonly Case[];

export interface Case {
  readonly when: Expression;
  readonly assign: readonly Assignment[];
}

export interface Assignment {
  readonly variable: Variable;
  readonly value: number;
}

export function assume(condition: Expression): Operation {
  return { kind: "assume", condition };
}

export function assign(variable: Variable, value: number): Operation {
  return { kind: "assign", variable, value };
}

export function choose(...cases: readonly Case[]): Operation {
  return { kind: "choose", cases };
}

/** The variables that an operation can change. */
export function assigned(operation: Operation): readonly Variable[] {
  switch (operation.kind) {
    case "assign":
    case "remember":
    case "copy":
      return [operation.variable];
    case "choose":
      return assignedByChoice(operation.cases);
    case "havoc":
    case "forget":
      return operation.variables;
    default:
      return [];
  }
}

function assignedByChoice(cases: Choice): readonly Variable[] {
  const known = chosen.get(cases);
  if (known) return known;
  const made = [...new Set(cases.flatMap((one) => one.assign.map((assignment) => assignment.variable)))];
  chosen.set(cases, made);
  return made;
}

/** Kept: choices are never changed. */
const chosen = new WeakMap<Choice, readonly Variable[]>();
