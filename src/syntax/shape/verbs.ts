/** The verbs of a step: exactly one in each. */
export const VERBS = [
  "set",
  "verify",
  "check",
  "observe",
  "press",
  "hold",
  "wait",
  "wait-for",
  "if",
  "decide",
  "choose",
  "repeat",
  "ask",
  "together",
  "perform",
  "go-to",
  "finish",
  "set-aside",
  "pause",
  "watch",
  "prohibit",
  "record",
  "sign",
  "say",
  "do",
  "section",
  "memory",
] as const;

export type VerbName = (typeof VERBS)[number];

/** Keys that go with some verbs only, and with which. */
export const COMPANIONS: ReadonlyMap<string, readonly VerbName[]> = new Map<string, readonly VerbName[]>([
  ["if-not", ["check", "observe", "wait-for", "watch"]],
  ["lit", ["observe"]],
  ["count", ["observe"]],
  ["times", ["press", "repeat"]],
  ["while", ["hold", "wait-for"]],
  ["for", ["hold"]],
  ["within", ["wait-for"]],
  ["then", ["if"]],
  ["else", ["if"]],
  ["until", ["repeat"]],
  ["every", ["repeat"]],
  ["moves", ["repeat"]],
  ["of", ["ask"]],
  ["with", ["perform"]],
  ["released-by", ["pause"]],
  ["only-until", ["prohibit"]],
  ["steps", ["section"]],
]);

/** What a verb cannot do without: of each list at least one key. */
export const NEEDED: ReadonlyMap<VerbName, readonly (readonly string[])[]> = new Map<
  VerbName,
  readonly (readonly string[])[]
>([
  ["check", [["if-not"]]],
  ["observe", [["lit"]]],
  ["if", [["then"]]],
  ["repeat", [["until", "times"]]],
  ["ask", [["of"]]],
  ["watch", [["if-not"]]],
  ["section", [["steps"]]],
]);

/** Keys that any step may carry. */
export const COMMON_KEYS = [
  "id",
  "by",
  "needs",
  "warning",
  "caution",
  "note",
  "words",
  "takes",
  "critical",
  "applies",
  "ref",
  "added",
  "moved",
  "because",
  "for-each",
] as const;

const VERB_SET: ReadonlySet<string> = new Set(VERBS);

export function isVerb(key: string): key is VerbName {
  return VERB_SET.has(key);
}

const COMMON_SET: ReadonlySet<string> = new Set(COMMON_KEYS);

/** True of every key that some step may have. */
export function isStepKey(key: string): boolean {
  return isVerb(key) || COMPANIONS.has(key) || COMMON_SET.has(key);
}

/** What a step needs that has no verb. */
export const STEP_HELP = "say what is done: `set`, `verify`, `check`, `observe`, `wait-for`, `do`, `say` ...";

/** The keys that a step may have beside its verb. */
export function keysBeside(verb: VerbName): readonly string[] {
  const own = [...COMPANIONS].filter(([, verbs]) => verbs.includes(verb)).map(([key]) => key);
  return [...own, ...COMMON_KEYS];
}
