import type { Span } from "../source/file.js";
import type { Quantity } from "./quantity.js";

export type CompareOperator = "<" | "<=" | "=" | "!=" | ">=" | ">";

/**
 * A condition over the resolved world. Names are looked up, `.side` is filled in, groups and sides are spelled out:
 * `all X is p` is an `and` over the members (each guarded so that members which are not fitted are passed over),
 * `any` an `or`. Things are named by their full id: `cooling-pump.port`, `control-power.guard`.
 */
export type Condition =
  | { readonly kind: "constant"; readonly value: boolean; readonly span: Span }
  | {
      readonly kind: "and" | "or";
      readonly of: readonly Condition[];
      readonly span: Span;
      readonly quantifier?: Quantifier;
    }
  | { readonly kind: "not"; readonly of: Condition; readonly span: Span }
  /** A control, a piece of equipment, a thing outside, or a fit variable stands at one of `values`. False where the thing is not fitted, also when negated by `is not` (then `negated`). */
  | {
      readonly kind: "is";
      readonly of: "control" | "equipment" | "outside" | "fit";
      readonly thing: string;
      readonly values: readonly string[];
      readonly negated: boolean;
      readonly span: Span;
    }
  /** True where the thing is fitted to the tail: stands in the expansion of groups and sides. */
  | { readonly kind: "fitted"; readonly thing: string; readonly span: Span }
  /** `lit` is true of a flashing light too. */
  | {
      readonly kind: "light";
      readonly light: string;
      readonly state: "lit" | "out" | "flashing";
      readonly negated: boolean;
      readonly span: Span;
    }
  /** A named condition: a thing of its own for `checked`, for the rest its meaning. */
  | { readonly kind: "named"; readonly condition: string; readonly span: Span }
  | {
      readonly kind: "compare";
      readonly left: Term;
      readonly operator: CompareOperator;
      readonly right: Term;
      readonly span: Span;
    }
  | {
      readonly kind: "near";
      readonly left: string;
      readonly right: string;
      readonly distance: Quantity;
      readonly span: Span;
    }
  /** The gauge reads within the closed interval of a band of its own. Either end may be missing (open). */
  | {
      readonly kind: "band";
      readonly gauge: string;
      readonly band: string;
      readonly negated: boolean;
      readonly low?: Quantity;
      readonly high?: Quantity;
      readonly span: Span;
    }
  /** `of` has held without a break for `milliseconds`. */
  | { readonly kind: "for"; readonly of: Condition; readonly milliseconds: number; readonly span: Span }
  | { readonly kind: "checked"; readonly of: Condition; readonly span: Span }
  /** `step` is a step's `name`; from another procedure `PROCEDURE:STEP`. */
  | { readonly kind: "done"; readonly step: string; readonly span: Span }
  | { readonly kind: "recorded"; readonly gauge: string; readonly span: Span };

/** What was written where a condition was expanded from `all X is p` or `any GROUP`, for wording. */
export interface Quantifier {
  readonly word: "all" | "any";
  readonly thing: string;
}

export type Term =
  | { readonly kind: "gauge"; readonly gauge: string }
  | { readonly kind: "constant"; readonly value: Quantity };
