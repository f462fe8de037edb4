/** Words with a meaning of their own, which no thing can be called by in a condition. */
export const KEYWORDS: ReadonlySet<string> = new Set([
  "and",
  "or",
  "not",
  "is",
  "all",
  "any",
  "for",
  "within",
  "of",
  "checked",
  "done",
  "recorded",
]);

export type Operator = "<" | "<=" | "=" | "!=" | ">=" | ">";

export const OPERATORS: ReadonlyMap<string, Operator> = new Map<string, Operator>([
  ["<", "<"],
  ["<=", "<="],
  ["≤", "<="],
  ["=", "="],
  ["!=", "!="],
  ["≠", "!="],
  [">=", ">="],
  ["≥", ">="],
  [">", ">"],
]);

/** Marks of other languages, and what is written for them in this one. */
export const MISWRITTEN: ReadonlyMap<string, string> = new Map([
  ["==", "="],
  ["=<", "<="],
  ["=>", ">="],
  ["<>", "!="],
]);

export const MISWRITTEN_JOINERS: ReadonlyMap<string, string> = new Map([
  ["&&", "and"],
  ["||", "or"],
]);
