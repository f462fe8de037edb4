/** A small repository that raises a code, and the same one mended. */
export interface Example {
  readonly bad: Readonly<Record<string, string>>;
  readonly good: Readonly<Record<string, string>>;
}

export const EXAMPLES: ReadonlyMap<string, Example> = new Map();
