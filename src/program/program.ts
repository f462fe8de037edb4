import type { Span } from "../source/file.js";
import type { Procedure } from "./procedure.js";
import type { Rule } from "./rule.js";
import type { System } from "./system.js";

/** The resolved world of one repository. Data only. */
export interface Program {
  readonly project: Project;
  readonly systems: ReadonlyMap<string, System>;
  readonly rules: readonly Rule[];
  readonly procedures: ReadonlyMap<string, Procedure>;
}

export interface Project {
  readonly title: string;
  readonly categories: readonly string[];
  /** Milliseconds for a step without `takes`. */
  readonly stepTakes: number;
  /** Finding code to the severity that this project gives it, or off. */
  readonly severities: ReadonlyMap<string, "error" | "warning" | "info" | "off">;
  readonly cards: CardSettings;
  /** Chance of omitting one line in one use, for the estimate of silent slips. */
  readonly omission?: { readonly short: number; readonly long: number };
  readonly span?: Span;
}

/** How cards are printed, as written; what it means is for those who print. */
export interface CardSettings {
  readonly paper: string;
  readonly profile: string;
  /** Colour of the paper in the printer. */
  readonly stock?: string;
  readonly binding?: string;
  readonly boxes?: string;
  /** `2 on A4`. */
  readonly sheet?: string;
  readonly span?: Span;
}

/** True when the rule is for this procedure: same system, and its `in` names its id or category. */
export function ruleIsFor(rule: Rule, procedure: Procedure): boolean {
  if (rule.system !== procedure.system) return false;
  return !rule.scope.in || rule.scope.in.includes(procedure.id) || rule.scope.in.includes(procedure.category);
}
