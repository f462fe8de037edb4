import fc from "fast-check";
import type { ConditionSyntax, QuantitySyntax, TermSyntax } from "../../src/syntax/condition/ast.js";

/** A condition as an author would write it, with parentheses only where they are needed. */
export function written(condition: ConditionSyntax): string {
  switch (condition.kind) {
    case "and":
    case "or":
      return condition.of.map(part).join(` ${condition.kind} `);
    case "not":
      return `not ${part(condition.of)}`;
    case "is":
      return `${many(condition)}${condition.thing.text} is ${condition.negated ? "not " : ""}${condition.values.map(({ text }) => text).join("/")}`;
    case "name":
      return `${many(condition)}${condition.thing.text}`;
    case "compare":
      return `${term(condition.left)} ${condition.operator} ${term(condition.right)}`;
    case "near":
      return `${term(condition.left)} is within ${quantity(condition.distance)} of ${term(condition.right)}`;
    case "for":
      return `(${written(condition.of)}) for ${quantity(condition.time)}`;
    case "checked":
      return `checked (${written(condition.of)})`;
    case "done":
      return `done ${condition.step.text}`;
    case "recorded":
      return `recorded ${condition.gauge.text}`;
  }
}

function part(condition: ConditionSyntax): string {
  return ["and", "or"].includes(condition.kind) ? `(${written(condition)})` : written(condition);
}

function many({ quantifier }: { readonly quantifier?: "all" | "any" }): string {
  return quantifier ? `${quantifier} ` : "";
}

function quantity({ number, unit }: QuantitySyntax): string {
  return unit === "" ? number : `${number} ${unit}`;
}

function term(of: TermSyntax): string {
  return of.kind === "name" ? of.text : quantity(of);
}

/** The condition as nested lists, for tables: `(and (is a p) (is b q))`. */
export function shape(condition: ConditionSyntax): string {
  switch (condition.kind) {
    case "and":
    case "or":
      return `(${[condition.kind, ...condition.of.map(shape)].join(" ")})`;
    case "not":
    case "checked":
      return `(${condition.kind} ${shape(condition.of)})`;
    case "is":
      return `(${condition.negated ? "is-not" : "is"} ${many(condition)}${condition.thing.text} ${condition.values.map(({ text }) => text).join(" ")})`;
    case "name":
      return condition.quantifier ? `(${condition.quantifier} ${condition.thing.text})` : condition.thing.text;
    case "compare":
      return `(${condition.operator} ${term(condition.left)} ${term(condition.right)})`;
    case "near":
      return `(near ${term(condition.left)} ${quantity(condition.distance)} ${term(condition.right)})`;
    case "for":
      return `(for ${shape(condition.of)} ${quantity(condition.time)})`;
    case "done":
      return `(done ${condition.step.text})`;
    case "recorded":
      return `(recorded ${condition.gauge.text})`;
  }
}

const NOWHERE = { file: { path: "", text: "" }, start: 0, end: 0 };
const at = { span: NOWHERE };
const name = fc
  .constantFrom("breaker", "cooling-pump.port", "x.side", "power.guard", "board", "lit", "n2")
  .map((text) => ({ text, ...at }));
const amount = fc
  .tuple(fc.constantFrom("0", "100", "1.5", "-3"), fc.constantFrom("", "L", "kg", "%", "L/min", "°C", "in"))
  .map(([number, unit]) => ({ number, unit, ...at }));
const time = fc.constantFrom("60", "1.5").map((number) => ({ number, unit: "s", ...at }));
const side: fc.Arbitrary<TermSyntax> = fc.oneof(
  name.map((text) => ({ kind: "name" as const, ...text })),
  amount.map((value) => ({ kind: "quantity" as const, ...value })),
);
const quantifier = fc.constantFrom({}, { quantifier: "all" as const }, { quantifier: "any" as const });

const leaf: fc.Arbitrary<ConditionSyntax> = fc.oneof(
  fc
    .tuple(name, fc.boolean(), fc.array(name, { minLength: 1, maxLength: 3 }), quantifier)
    .filter(([, negated, , word]) => !(negated && "quantifier" in word && word.quantifier === "all"))
    .map(([thing, negated, values, word]) => ({ kind: "is" as const, ...word, thing, negated, values, ...at })),
  fc.tuple(name, quantifier).map(([thing, word]) => ({ kind: "name" as const, ...word, thing, ...at })),
  fc
    .tuple(
      side,
      fc.constantFrom("<" as const, "<=" as const, "=" as const, "!=" as const, ">=" as const, ">" as const),
      side,
    )
    .map(([left, operator, right]) => ({ kind: "compare" as const, left, operator, right, ...at })),
  fc.tuple(name, amount, side).map(([left, distance, right]) => ({
    kind: "near" as const,
    left: { kind: "name" as const, ...left },
    distance,
    right,
    ...at,
  })),
  name.map((step) => ({
    kind: "done" as const,
    step: { ...step, text: `drill:${step.text.replaceAll(".", "-")}` },
    ...at,
  })),
  name.map((gauge) => ({ kind: "recorded" as const, gauge, ...at })),
);

const { condition } = fc.letrec<{ condition: ConditionSyntax }>((tie) => ({
  condition: fc.oneof(
    { maxDepth: 4, withCrossShrink: true },
    { weight: 2, arbitrary: leaf },
    {
      weight: 2,
      arbitrary: fc
        .tuple(
          fc.constantFrom("and" as const, "or" as const),
          fc.array(tie("condition"), { minLength: 2, maxLength: 4 }),
        )
        .map(([kind, of]) => ({ kind, of, ...at })),
    },
    { weight: 1, arbitrary: tie("condition").map((of) => ({ kind: "not" as const, of, ...at })) },
    { weight: 1, arbitrary: tie("condition").map((of) => ({ kind: "checked" as const, of, ...at })) },
    {
      weight: 1,
      arbitrary: fc
        .tuple(tie("condition"), time)
        .map(([of, length]) => ({ kind: "for" as const, of, time: length, ...at })),
    },
  ),
}));

/** Any condition that can be written. */
export const anyCondition: fc.Arbitrary<ConditionSyntax> = condition;
