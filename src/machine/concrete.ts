import { type Expression, evaluate, type Variable } from "./expression.js";
import type { Choice, Operation } from "./operation.js";

/** One state: `state[variable.index]`. */
export type State = Int32Array;

/**
 * The states that operations lead one state to: none where an `assume` fails or nothing ever settles, several only where
 * something is drawn at will. Works on single values alone, so that it can confirm what was computed on sets.
 */
export function* runConcrete(
  state: State,
  operations: readonly Operation[],
  immediate: readonly Choice[],
): Generator<State> {
  const [operation, ...rest] = operations;
  if (!operation) {
    yield state;
    return;
  }
  for (const next of runOne(state, operation, immediate)) yield* runConcrete(next, rest, immediate);
}

function* runOne(state: State, operation: Operation, immediate: readonly Choice[]): Generator<State> {
  switch (operation.kind) {
    case "assume":
      if (evaluate(operation.condition, state)) yield state;
      return;
    case "assign":
      yield withValue(state, operation.variable, operation.value);
      return;
    case "havoc":
      yield* draw(state, operation.variables, operation.constraint);
      return;
    case "choose":
      yield taken(state, state, operation.cases);
      return;
    case "settle": {
      const settled = settle(state, immediate);
      if (settled) yield settled;
      return;
    }
    case "remember":
      yield withValue(state, operation.variable, evaluate(operation.truth, state) ? 1 : 0);
      return;
    case "copy":
      yield withValue(state, operation.variable, state[operation.of.index]!);
      return;
    case "forget":
      yield state;
  }
}

/** Rounds of immediate changes until none fires; undefined where they never end. */
export function settle(state: State, immediate: readonly Choice[]): State | undefined {
  const seen = new Set<string>();
  for (let present = state; ; ) {
    const next = immediate.reduce<State>((made, choice) => taken(present, made, choice), present);
    if (same(next, present)) return present;
    const key = next.join(",");
    if (seen.has(key)) return undefined;
    seen.add(key);
    present = next;
  }
}

/** `onto` with the assignments of the case that `read` takes. */
function taken(read: State, onto: State, choice: Choice): State {
  const hit = choice.find((one) => evaluate(one.when, read));
  return hit ? hit.assign.reduce((made, { variable, value }) => withValue(made, variable, value), onto) : onto;
}

function* draw(state: State, variables: readonly Variable[], constraint: Expression): Generator<State> {
  const [variable, ...rest] = variables;
  if (!variable) {
    if (evaluate(constraint, state)) yield state;
    return;
  }
  for (let value = 0; value < variable.size; value++) yield* draw(withValue(state, variable, value), rest, constraint);
}

function withValue(state: State, variable: Variable, value: number): State {
  if (state[variable.index] === value) return state;
  const made = Int32Array.from(state);
  made[variable.index] = value;
  return made;
}

function same(a: State, b: State): boolean {
  return a === b || a.every((value, index) => value === b[index]);
}
