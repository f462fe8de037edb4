/** Our own bugs, never the user's: a broken invariant stops the program with a message for the maintainers. */
export class InvariantError extends Error {
  override readonly name = "InvariantError";
}

/** Throws an `InvariantError` unless `condition` holds. */
export function invariant(condition: unknown, message: string): asserts condition {
  if (!condition) throw new InvariantError(message);
}

/** Closes a switch over a union: a value that arrives here is a bug. */
export function unreachable(value: never): never {
  throw new InvariantError(`unreachable value: ${JSON.stringify(value)}`);
}
