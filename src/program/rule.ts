import type { Span } from "../source/file.js";
import type { Condition } from "./condition.js";

export interface Rule {
  /** The id as written; a rule about `.side` is here once for each side, as `id.port`. */
  readonly id: string;
  readonly system: string;
  readonly says?: string;
  readonly form: RuleForm;
  readonly scope: Scope;
  /** Over fit variables only. */
  readonly applies?: Condition;
  readonly severity: "error" | "warning" | "info";
  readonly because?: string;
  readonly source?: string;
  /** The id. */
  readonly span: Span;
}

/** `P` is `condition`, `Q` is `trigger`, `R` is `deadline`; see the table of semantics. */
export type RuleForm =
  | { readonly kind: "never"; readonly condition: Condition }
  | { readonly kind: "always"; readonly condition: Condition }
  | { readonly kind: "when" | "while" | "before"; readonly condition: Condition; readonly trigger: Condition }
  | { readonly kind: "at-most"; readonly times: number; readonly trigger: Condition }
  /** Without a trigger: existence (owed from the start). `deadline` "end" or a condition; `within` in milliseconds. */
  | {
      readonly kind: "after";
      readonly condition: Condition;
      readonly trigger?: Condition;
      readonly deadline: Condition | "end";
      readonly within?: number;
    };

export interface Scope {
  readonly onlyAfter?: Condition;
  readonly onlyUntil?: Condition;
  /** Categories or procedure ids; absent: all. */
  readonly in?: readonly string[];
}
