import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { Span } from "../../src/source/file.js";
import { parseCondition } from "../../src/syntax/condition/parser.js";
import { parseDocument } from "../../src/syntax/parse.js";
import { entry, type ScalarNode } from "../../src/syntax/tree.js";
import { anyCondition, shape, written } from "./conditions.js";

function plainScalar(text: string): ScalarNode {
  return { kind: "scalar", text, style: "plain", span: { file: { path: "a.yaml", text }, start: 0, end: text.length } };
}

function textAt({ file, start, end }: Span): string {
  return file.text.slice(start, end);
}

/** Every form of the page "Conditions" of the language. */
const FORMS: readonly (readonly [string, string])[] = [
  ["breaker is open", "(is breaker open)"],
  ["breaker is not open", "(is-not breaker open)"],
  ["start-key is off/run", "(is start-key off run)"],
  ["start-key is not off/run", "(is-not start-key off run)"],
  ["ready is lit", "(is ready lit)"],
  ["control-power.guard is closed", "(is control-power.guard closed)"],
  ["board", "board"],
  ["day-tank.port >= 100 L", "(>= day-tank.port 100 L)"],
  ["day-tank.port ≥ 100L", "(>= day-tank.port 100 L)"],
  ["day-tank.port ≤ 0.5 %", "(<= day-tank.port 0.5 %)"],
  ["flow < 12 L/min", "(< flow 12 L/min)"],
  ["day-tank.starboard > day-tank.port", "(> day-tank.starboard day-tank.port)"],
  ["temperature = -5 °C", "(= temperature -5 °C)"],
  ["rate != 3", "(!= rate 3)"],
  ["oil-pressure is normal", "(is oil-pressure normal)"],
  ["day-tank.port is within 50 L of day-tank.starboard", "(near day-tank.port 50 L day-tank.starboard)"],
  ["a is on and b is on and c", "(and (is a on) (is b on) c)"],
  ["a or not b is on", "(or a (not (is b on)))"],
  ["a and (b or c)", "(and a (or b c))"],
  ["not (a and b)", "(not (and a b))"],
  ["all cooling-pump is off", "(is all cooling-pump off)"],
  ["any cooling-pump is not off", "(is-not any cooling-pump off)"],
  ["any pump-runs", "(any pump-runs)"],
  ["not all cooling-pump is off", "(not (is all cooling-pump off))"],
  ["(generator is ready) for 60 s", "(for (is generator ready) 60 s)"],
  ["apu is avail for 1.5 min", "(for (is apu avail) 1.5 min)"],
  ["(a and b) for 60 s and c", "(and (for (and a b) 60 s) c)"],
  ["checked (all cooling-pump is off)", "(checked (is all cooling-pump off))"],
  ["checked (a) and checked (b)", "(and (checked a) (checked b))"],
  ["done crank", "(done crank)"],
  ["done drill:crank", "(done drill:crank)"],
  ["not done no", "(not (done no))"],
  ["recorded day-tank.port", "(recorded day-tank.port)"],
  ["dc and (lamp-test is test or generator is turning)", "(and dc (or (is lamp-test test) (is generator turning)))"],
  ["((a))", "a"],
];

describe("a condition", () => {
  test.each(FORMS)("%s", (text, expected) => {
    const { value, findings } = parseCondition(plainScalar(text));
    expect(findings).toEqual([]);
    expect(shape(value!)).toBe(expected);
    expect(textAt(value!.span).replace(/^\(+|\)+$/g, "")).toBe(text.replace(/^\(+|\)+$/g, ""));
  });

  test("that is written out reads as what it was", () => {
    fc.assert(
      fc.property(anyCondition, (condition) => {
        const { value, findings } = parseCondition(plainScalar(written(condition)));
        expect(findings).toEqual([]);
        expect(withoutPlaces(value)).toEqual(withoutPlaces(condition));
      }),
      { numRuns: 1000 },
    );
  });

  test("has every part at its place: the text there reads as that part", () => {
    fc.assert(
      fc.property(anyCondition, (condition) => {
        const { value } = parseCondition(plainScalar(written(condition)));
        for (const part of partsOf(value)) {
          const again = parseCondition(plainScalar(textAt(part.span))).value;
          expect(withoutPlaces(again)).toEqual(withoutPlaces(part));
        }
      }),
      { numRuns: 500 },
    );
  });
});

/** Text, code, what the caret is under, message, first way out. */
const REFUSED: readonly (readonly [string, string, string, string, string])[] = [
  ["a and b or c", "condition/mixed", "or", "`and` and `or` are mixed without parentheses", "put parentheses around"],
  ["a or b and c", "condition/mixed", "and", "`or` and `and` are mixed without parentheses", "put parentheses around"],
  [
    "(a and b or c) and d",
    "condition/mixed",
    "or",
    "`and` and `or` are mixed without parentheses",
    "put parentheses around",
  ],
  [
    "all pump is not on",
    "condition/two-readings",
    "is not on",
    "`all pump is not on` can be read in two ways",
    "none of them: `not any pump is on`",
  ],
  [
    "a and b for 60 s",
    "condition/two-readings",
    "for",
    "it cannot be told of how much of the condition this time is",
    "put parentheses around",
  ],
  [
    "not a for 60 s",
    "condition/two-readings",
    "for",
    "it cannot be told of how much of the condition this time is",
    "put parentheses around",
  ],
  [
    "pump on",
    "condition/syntax",
    "on",
    "`on` stands where `is`, `and`, `or` or the end of the condition belongs",
    "if it is where `pump` stands, write `pump is on`",
  ],
  [
    "pump is",
    "condition/syntax",
    "is",
    "the condition ends where a position, a state, or `lit`, `out`, `flashing` belongs",
    "a condition is such as",
  ],
  ["pump is 3", "condition/syntax", "3", "a number stands where a position or state belongs", "compare a reading with"],
  [
    "a AND b",
    "condition/syntax",
    "AND",
    "`AND` stands where `is`, `and`, `or` or the end of the condition belongs",
    "write `and`",
  ],
  ["a && b", "condition/syntax", "&&", "`&&` is not a word of conditions", "write `and`"],
  ["rest == 3 L", "condition/syntax", "==", "`==` is not a comparison", "write `=`"],
  ["rest => 3 L", "condition/syntax", "=>", "`=>` is not a comparison", "write `>=`"],
  ["3 < rest < 5", "condition/syntax", "<", "two comparisons run into each other", "write them apart"],
  ["rest >= 1,5 L", "condition/quantity", "1,5", "`1,5` is not a number", "write digits and one decimal point"],
  ["rest >= 1e3 L", "condition/quantity", "1e3", "`1e3` is not a number", "write digits and one decimal point"],
  ["all rest >= 3 L", "condition/syntax", "all", "`all` does not go with a comparison", "write it once for each"],
  ["(a and b", "condition/syntax", "(", "this `(` is never closed", "add the `)`"],
  ["a and b)", "condition/syntax", ")", "this `)` has no `(` before it", "delete it, or open it before"],
  ["()", "condition/syntax", ")", "nothing stands in the parentheses", "write a condition in them"],
  [
    "checked a is on",
    "condition/syntax",
    "a",
    "`checked` needs parentheses around what is checked",
    "write `checked (breaker is open)`",
  ],
  ["a, b", "condition/syntax", ",", "`,` makes no sense after the condition", "join conditions with `and` or `or`"],
  ["a is on!", "condition/syntax", "!", "`!` makes no sense after the condition", "a condition is such as"],
  [
    "a is within of b",
    "condition/syntax",
    "of",
    "`of` stands where a quantity after `is within` (such as `50 L`) belongs",
    "a condition is such as",
  ],
  ["a and", "condition/syntax", "and", "the condition ends where a condition begins", "finish it"],
  ["and a", "condition/syntax", "and", "`and` stands where a name belongs", "a condition is such as"],
  [
    "done",
    "condition/syntax",
    "done",
    "the condition ends where the id of a step after `done` belongs",
    "a condition is such as",
  ],
  [
    "(a) for soon",
    "condition/syntax",
    "soon",
    "`soon` stands where a time after `for` (such as `60 s`) belongs",
    "a condition is such as",
  ],
];

describe("a condition is refused, at the place and with a way out", () => {
  test.each(REFUSED)("%s", (text, code, place, message, help) => {
    const { value, findings } = parseCondition(plainScalar(text));
    expect(value).toBeUndefined();
    expect(findings).toHaveLength(1);
    expect(findings[0]).toMatchObject({ code, message });
    expect(textAt(findings[0]!.at)).toBe(place);
    expect(findings[0]!.help[0]).toContain(help);
  });

  test("with 60 parentheses inside each other", () => {
    const { findings } = parseCondition(plainScalar(`${"(".repeat(60)}a${")".repeat(60)}`));
    expect(findings.map(({ code }) => code)).toEqual(["condition/too-deep"]);
  });
});

const STYLES: readonly (readonly [string, string])[] = [
  ["plain", "breaker is open and fuel-valve.port is open"],
  ["plain, folded", "breaker is open\n      and fuel-valve.port\n\n      is open"],
  ["single quotes", "'breaker is open and fuel-valve.port is open'"],
  ["double quotes", '"breaker is open and fuel-valve.port is open"'],
  ["double quotes with escapes", '"breaker\\u0020is \\x6fpen \\\n        and fuel-valve.port is open"'],
  ["double quotes, folded", '"breaker is open\n      and fuel-valve.port is open"'],
  ["literal block", "|\n      breaker is open\n      and fuel-valve.port is open"],
  ["folded block", ">-\n      breaker is open and\n      fuel-valve.port\n      is open"],
];

describe.each([
  ["LF", "\n"],
  ["CR LF", "\r\n"],
])("names are found in the file, with %s", (_, end) => {
  test.each(STYLES)("%s", (_style, source) => {
    const text = `kind: procedure\ntitle: T\nneeds:\n  a:\n    ${source}\nafter: x\n`.replaceAll("\n", end);
    const { root } = parseDocument({ path: "a.yaml", text }).value!;
    const needs = entry(root, "needs")!.value;
    const node = needs.kind === "map" ? needs.entries[0]!.value : needs;
    const { value, findings } = parseCondition(node as ScalarNode);
    expect(findings).toEqual([]);
    expect(shape(value!)).toBe("(and (is breaker open) (is fuel-valve.port open))");
    const names = namesIn(value).map(({ text: name, span }) => [name, textAt(span)]);
    expect(names).toEqual([
      ["breaker", "breaker"],
      ["open", source.includes("\\x6f") ? "\\x6fpen" : "open"],
      ["fuel-valve.port", "fuel-valve.port"],
      ["open", "open"],
    ]);
  });
});

type Placed = { readonly kind: string; readonly span: Span };

/** The condition and all conditions in it. */
function partsOf(value: unknown): Placed[] {
  if (value === null || typeof value !== "object") return [];
  const inner = Object.values(value).flatMap((child) => (isPlace(child) ? [] : partsOf(child)));
  const isCondition = "kind" in value && "span" in value && !("text" in value) && !("number" in value);
  return isCondition ? [value as Placed, ...inner] : inner;
}

function namesIn(value: unknown): { readonly text: string; readonly span: Span }[] {
  if (value === null || typeof value !== "object" || isPlace(value)) return [];
  if ("text" in value && "span" in value) return [value as { text: string; span: Span }];
  return Object.values(value).flatMap(namesIn);
}

function isPlace(value: unknown): boolean {
  return value !== null && typeof value === "object" && "file" in value;
}

function withoutPlaces(value: unknown): unknown {
  return JSON.parse(JSON.stringify(value, (key, inner) => (key === "span" ? undefined : inner)) ?? "null");
}
