import type { FindingKind } from "./diagnostics/finding.js";
import { compareText } from "./diagnostics/sink.js";
import { EMIT_KINDS } from "./emit/kinds.js";
import { JUDGE_KINDS } from "./judge/kinds.js";
import { LINT_KINDS } from "./lint/kinds.js";
import { PROVE_KINDS } from "./prove/kinds.js";
import { RESOLVE_KINDS } from "./resolve/kinds.js";
import { SYNTAX_KINDS } from "./syntax/kinds.js";

/** Kinds whose errors mean that something could not be understood: never softened, never allowed. */
const READING: readonly FindingKind[] = [...SYNTAX_KINDS, ...RESOLVE_KINDS, ...JUDGE_KINDS];

/** Every finding's page, sorted by code. */
export const CATALOGUE: readonly FindingKind[] = [...READING, ...LINT_KINDS, ...PROVE_KINDS, ...EMIT_KINDS].sort(
  (a, b) => compareText(a.code, b.code),
);

export const KIND_OF: ReadonlyMap<string, FindingKind> = new Map(CATALOGUE.map((kind) => [kind.code, kind]));

/** Codes of the errors that leave nothing to prove. */
export const HARD_CODES: ReadonlySet<string> = new Set(
  READING.filter((kind) => kind.severity === "error").map((kind) => kind.code),
);
