import { type Expression, type Variable, variablesOf } from "../expression.js";
import type { Operation } from "../operation.js";

/**
 * A memory of the past, brought up to date at every moment: `before` runs ahead of the act (it remembers present truths
 * in variables that live only through the step), `after` once the machine has settled.
 * Where an act can touch none of `inputs`, the update changes nothing and is left out.
 */
export interface Memory {
  readonly name: string;
  readonly variables: readonly Variable[];
  readonly inputs: ReadonlySet<Variable>;
  /** What every act does ahead of `after`, whatever it touches; changes and moves in a pause do not. */
  readonly atAct?: readonly Operation[];
  readonly before: readonly Operation[];
  readonly after: readonly Operation[];
  /** What `before` made. */
  readonly scratch: readonly Variable[];
}

/** The variables of several expressions, as the inputs of a memory. */
export function inputsOf(...expressions: readonly Expression[]): Set<Variable> {
  return new Set(expressions.flatMap((expression) => [...variablesOf(expression)]));
}
