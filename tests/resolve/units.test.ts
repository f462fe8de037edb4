import { describe, expect, it } from "vitest";
import type { Rational } from "../../src/program/quantity.js";
import { difference, milliseconds, reading } from "../../src/resolve/quantity.js";
import { decimal, unitOf } from "../../src/resolve/units.js";

/** One of a unit in another, as printed in the source: exact to its last digit where `exact`, else rounded to it. */
const TABLE: readonly (readonly [from: string, to: string, factor: string, kind: "exact" | "rounded"])[] = [
  // NIST SP 811 (2008), appendix B.8; the exact ones are defined so, or follow from definitions.
  ["lb", "kg", "0.45359237", "exact"],
  ["oz", "g", "28.349523125", "exact"],
  ["ft", "m", "0.3048", "exact"],
  ["in", "mm", "25.4", "exact"],
  ["yd", "m", "0.9144", "exact"],
  ["mi", "km", "1.609344", "exact"],
  ["nmi", "m", "1852", "exact"],
  ["kn", "m/s", "0.5144444", "rounded"],
  ["kn", "km/h", "1.852", "exact"],
  ["ft/min", "m/s", "0.00508", "exact"],
  ["lbf", "N", "4.4482216152605", "exact"],
  ["psi", "kPa", "6.894757", "rounded"],
  ["inHg", "Pa", "3386.389", "rounded"],
  ["mmHg", "Pa", "133.3224", "rounded"],
  ["atm", "Pa", "101325", "exact"],
  ["bar", "kPa", "100", "exact"],
  ["US gal", "L", "3.785411784", "exact"],
  ["imp-gal", "L", "4.54609", "exact"],
  ["USqt", "L", "0.946352946", "exact"],
  ["USpt", "L", "0.473176473", "exact"],
  ["bbl", "L", "158.987294928", "exact"],
  ["ft3", "m3", "0.028316846592", "exact"],
  ["hp", "W", "745.6999", "rounded"],
  ["lbf-ft", "Nm", "1.3558179483314004", "exact"],
  ["lbf-in", "Nm", "0.1129848290276167", "exact"],
  ["Btu", "J", "1055.05585262", "exact"],
  ["kWh", "MJ", "3.6", "exact"],
  ["ft2", "m2", "0.09290304", "exact"],
  ["mph", "m/s", "0.44704", "exact"],
  ["inH2O", "Pa", "249.0889", "rounded"],
  ["mmH2O", "Pa", "9.80665", "exact"],
];

describe("conversion factors of NIST SP 811", () => {
  it.each(TABLE)("1 %s is %s times %s", (from, to, printed, kind) => {
    const [a, b] = [unitOf(from), unitOf(to)];
    expect(a.dimension).toBe(b.dimension);
    const factor = divided(a.factor, b.factor);
    const expected = decimal(printed)!;
    if (kind === "exact") expect(factor).toEqual(expected);
    else expect(isRoundedTo(factor, printed)).toBe(true);
  });

  it("tells a wrong last digit", () => {
    expect(isRoundedTo(decimal("0.514444444")!, "0.5144445")).toBe(false);
  });
});

describe("temperatures", () => {
  // SP 811, B.8: T/K = t/degC + 273.15; t/degC = (t/degF - 32)/1.8.
  it.each([
    ["0", "°C", "273.15"],
    ["100", "degC", "373.15"],
    ["32", "°F", "273.15"],
    ["212", "degF", "373.15"],
    ["-40", "°F", "233.15"],
    ["-40", "°C", "233.15"],
  ])("%s %s is %s K", (number, unit, kelvin) => {
    expect(reading(number, unit)?.value).toEqual(decimal(kelvin));
  });

  it("has differences without the offset of the scale", () => {
    expect(difference("18", "°F")?.value).toEqual(decimal("10"));
    expect(difference("10", "°C")?.value).toEqual(decimal("10"));
  });
});

describe("units apart", () => {
  it("has no bare gallon, which would be two volumes", () => {
    expect(unitOf("gal").dimension).not.toBe("volume");
  });

  it.each([
    ["kg", "L"],
    ["lbf", "lb"],
    ["Nm", "J"],
    ["rpm", "Hz"],
    ["W", "VA"],
    ["%", ""],
    ["turns", "notches"],
  ])("keeps %s and %s apart", (a, b) => {
    expect(unitOf(a).dimension).not.toBe(unitOf(b).dimension);
  });

  it("compares a unit that nobody tabulated with itself", () => {
    expect(reading("3", "turns")).toEqual({ text: "3 turns", unit: "turns", dimension: "turns", value: decimal("3") });
  });
});

describe("numbers and times", () => {
  it("reads decimals exactly", () => {
    expect(decimal("0.1")).toEqual({ numerator: 1n, denominator: 10n });
    expect(decimal("-12.50")).toEqual({ numerator: -25n, denominator: 2n });
  });

  it.each(["", ".", "1.", ".5", "1e3", "1,5", "0x10", "NaN", "1 000"])("does not read `%s`", (text) => {
    expect(decimal(text)).toBeUndefined();
  });

  it.each([
    ["15", "s", 15_000],
    ["3", "min", 180_000],
    ["0.5", "s", 500],
    ["1.5", "h", 5_400_000],
    ["250", "ms", 250],
  ])("reads %s %s as %d ms", (number, unit, expected) => {
    expect(milliseconds(number, unit)).toBe(expected);
  });

  it("has no time finer than a millisecond, and none in another unit", () => {
    expect(milliseconds("0.0005", "s")).toBeUndefined();
    expect(milliseconds("3", "kg")).toBeUndefined();
  });
});

function divided(a: Rational, b: Rational): Rational {
  const [above, below] = [a.numerator * b.denominator, a.denominator * b.numerator];
  return reduced(above, below);
}

function reduced(above: bigint, below: bigint): Rational {
  let [x, y] = [above, below];
  while (y !== 0n) [x, y] = [y, x % y];
  return { numerator: above / x, denominator: below / x };
}

/** The value lies within half of the last printed digit. */
function isRoundedTo(value: Rational, printed: string): boolean {
  const scale = 10n ** BigInt((printed.split(".")[1] ?? "").length);
  const digits = BigInt(printed.replace(".", ""));
  const distance = value.numerator * scale * 2n - digits * value.denominator * 2n;
  return (distance < 0n ? -distance : distance) <= value.denominator;
}
