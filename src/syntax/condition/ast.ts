import type { Span } from "../../source/file.js";

/** A condition as written; names are not looked up yet. Spans are offsets in the YAML file itself. */
export type ConditionSyntax =
  | { readonly kind: "and" | "or"; readonly of: readonly ConditionSyntax[]; readonly span: Span }
  | { readonly kind: "not"; readonly of: ConditionSyntax; readonly span: Span }
  /** `X is p/q`, `X is not p`, `all X is p`, `any X is p`. Also lights (`lit`, `out`, `flashing`) and bands (`normal`). */
  | {
      readonly kind: "is";
      readonly quantifier?: "all" | "any";
      readonly thing: NameSyntax;
      readonly negated: boolean;
      readonly values: readonly NameSyntax[];
      readonly span: Span;
    }
  /** A bare name: a named condition (`board`, `all pump-runs`, `any pump-runs`). */
  | { readonly kind: "name"; readonly quantifier?: "all" | "any"; readonly thing: NameSyntax; readonly span: Span }
  | {
      readonly kind: "compare";
      readonly left: TermSyntax;
      readonly operator: "<" | "<=" | "=" | "!=" | ">=" | ">";
      readonly right: TermSyntax;
      readonly span: Span;
    }
  /** `a is within 50 L of b`. */
  | {
      readonly kind: "near";
      readonly left: TermSyntax;
      readonly distance: QuantitySyntax;
      readonly right: TermSyntax;
      readonly span: Span;
    }
  /** `(P) for 60 s`. */
  | { readonly kind: "for"; readonly of: ConditionSyntax; readonly time: QuantitySyntax; readonly span: Span }
  | { readonly kind: "checked"; readonly of: ConditionSyntax; readonly span: Span }
  | { readonly kind: "done"; readonly step: NameSyntax; readonly span: Span }
  | { readonly kind: "recorded"; readonly gauge: NameSyntax; readonly span: Span };

/** A dotted or `procedure:step` name as written, such as `cooling-pump.port`, `cooling-pump.side`, `control-power.guard`. */
export interface NameSyntax {
  readonly text: string;
  readonly span: Span;
}

export type TermSyntax = (NameSyntax & { readonly kind: "name" }) | (QuantitySyntax & { readonly kind: "quantity" });

/** A number as written (`1000`, `0.5`) and its unit as written, which may be empty. */
export interface QuantitySyntax {
  readonly number: string;
  readonly unit: string;
  readonly span: Span;
}
