import { describe, expect, test } from "vitest";
import { parseQuantity } from "../../src/syntax/quantity.js";
import type { ScalarNode } from "../../src/syntax/tree.js";

function scalar(text: string): ScalarNode {
  return { kind: "scalar", text, style: "plain", span: { file: { path: "a.yaml", text }, start: 0, end: text.length } };
}

function read(text: string) {
  const { value, findings } = parseQuantity(scalar(text));
  if (!value) return findings.map(({ code }) => code).join();
  const parts = value.kind === "range" ? [value.low, value.high] : [value.value];
  return [
    value.kind,
    ...parts.map(({ number, unit, span }) => `${number}|${unit}|${text.slice(span.start, span.end)}`),
  ].join(" ");
}

describe("a quantity", () => {
  test.each([
    ["100 L", "single 100|L|100 L"],
    ["100L", "single 100|L|100L"],
    ["15 s", "single 15|s|15 s"],
    ["0.50 bar", "single 0.50|bar|0.50 bar"],
    ["-40 °C", "single -40|°C|-40 °C"],
    ["12 L/min", "single 12|L/min|12 L/min"],
    ["90", "single 90||90"],
    ["3 to 4.5", "range 3||3 4.5||4.5"],
    ["-5 to 5", "range -5||-5 5||5"],
    ["3 s to 12 s", "range 3|s|3 s 12|s|12 s"],
    ["3 to 12 s", "range 3|s|3 12|s|12 s"],
    ["90 s to 2 min", "range 90|s|90 s 2|min|2 min"],
    ["up to 15 s", "up-to 15|s|up to 15 s".replace("up to 15 s", "15 s")],
    ["from 3", "from 3||3"],
  ])("%s", (text, expected) => {
    expect(read(text)).toBe(expected);
  });

  test.each([
    "",
    " ",
    "L",
    "1,5 L",
    "1e3",
    "1. L",
    ".5 L",
    "to 5",
    "5 to",
    "5 to 6 to 7",
    "up to",
    "up to 3 to 5",
    "3 - 5",
    "soon",
    "1 L L",
  ])("%j is none", (text) => {
    expect(read(text)).toBe("condition/quantity");
  });
});
