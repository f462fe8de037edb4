import { type Rational, rational } from "../program/quantity.js";

/** What one of a unit is in the base unit of its dimension: `value * factor + offset`. Both are exact. */
export interface Unit {
  readonly symbol: string;
  readonly dimension: string;
  readonly factor: Rational;
  readonly offset: Rational;
}

/**
 * The unit of a symbol as written. Spaces, hyphens and middle dots do not count (`US gal`, `US-gal`, `ft-lbf`). A symbol that the table
 * does not hold is a dimension of its own with a factor of one, so that it can be compared with itself and with nothing else.
 */
export function unitOf(symbol: string): Unit {
  const known = UNITS.get(plain(symbol));
  return known ?? { symbol, dimension: symbol === "" ? "number" : symbol, factor: rational(1n), offset: rational(0n) };
}

/** True for the symbols that the table holds. */
export function isKnownUnit(symbol: string): boolean {
  return UNITS.has(plain(symbol));
}

/** A decimal number as written, exactly; undefined where it is not one. */
export function decimal(text: string): Rational | undefined {
  const parts = /^([+-]?)(\d{1,30})(?:\.(\d{1,30}))?$/.exec(text);
  if (!parts) return undefined;
  const [, sign, whole = "", fraction = ""] = parts;
  const digits = BigInt(whole + fraction);
  return rational(sign === "-" ? -digits : digits, 10n ** BigInt(fraction.length));
}

function plain(symbol: string): string {
  return symbol.replace(/[\s·.-]/g, "");
}

/**
 * Factors to the base unit of each dimension: NIST SP 811 (2008), appendix B, where exact; `a/b` is a quotient of decimals. The conventional
 * columns of mercury are derived (13 595.1 kg/m3 at 9.806 65 m/s2, as SP 811 defines them), because SP 811 prints them rounded. The
 * horsepower is 550 ft lbf/s. A bare `gal` is left out: it is two different volumes.
 */
const TABLE: Readonly<Record<string, string>> = {
  mass: "kg 1, g 0.001, mg 0.000001, t 1000, lb 0.45359237, lbs 0.45359237, oz 0.028349523125",
  volume:
    "L 1, l 1, mL 0.001, ml 0.001, cL 0.01, dL 0.1, hL 100, m3 1000, m³ 1000, cm3 0.001, cm³ 0.001, USgal 3.785411784, USqt 0.946352946, USpt 0.473176473, impgal 4.54609, bbl 158.987294928, ft3 28.316846592, ft³ 28.316846592",
  pressure:
    "Pa 1, hPa 100, kPa 1000, MPa 1000000, bar 100000, mbar 100, atm 101325, psi 4.4482216152605/0.00064516, inHg 3386.388640341, mmHg 133.322387415, mmH2O 9.80665, inH2O 249.08891",
  length: "m 1, mm 0.001, cm 0.01, km 1000, in 0.0254, ft 0.3048, yd 0.9144, mi 1609.344, nmi 1852, NM 1852",
  speed: "m/s 1, km/h 1/3.6, kn 1852/3600, kt 1852/3600, mph 0.44704, ft/min 0.00508, fpm 0.00508, ft/s 0.3048",
  force: "N 1, kN 1000, lbf 4.4482216152605, daN 10",
  torque: "Nm 1, kNm 1000, lbfft 1.3558179483314004, lbfin 0.1129848290276167",
  energy: "J 1, kJ 1000, MJ 1000000, Wh 3600, kWh 3600000, Btu 1055.05585262, ftlbf 1.3558179483314004",
  power: "W 1, kW 1000, MW 1000000, hp 745.69987158227022",
  "apparent power": "VA 1, kVA 1000, MVA 1000000",
  voltage: "V 1, mV 0.001, kV 1000",
  current: "A 1, mA 0.001, kA 1000",
  charge: "Ah 1, mAh 0.001",
  resistance: "Ω 1, ohm 1, kΩ 1000, MΩ 1000000",
  frequency: "Hz 1, kHz 1000, MHz 1000000",
  rotation: "rpm 1, 1/min 1, r/min 1, rps 60",
  time: "ms 0.001, s 1, min 60, h 3600, d 86400",
  angle: "deg 1, ° 1",
  ratio: "% 1, ‰ 0.1",
  "volume flow":
    "L/min 1, L/s 60, L/h 1/60, m3/h 1000/60, m³/h 1000/60, USgal/min 3.785411784, USgal/h 3.785411784/60, impgal/min 4.54609",
  "mass flow":
    "kg/s 1, kg/min 1/60, kg/h 1/3600, t/h 1000/3600, lb/min 0.45359237/60, lb/h 0.45359237/3600, pph 0.45359237/3600",
  area: "m2 1, m² 1, mm2 0.000001, mm² 0.000001, cm2 0.0001, cm² 0.0001, ft2 0.09290304, ft² 0.09290304",
};

/** To kelvin: factor and offset (SP 811, B.6 and B.7: t/°C + 273.15; (t/°F + 459.67)/1.8). */
const TEMPERATURES: readonly (readonly [string, string, string])[] = [
  ["K", "1", "0"],
  ["°C", "1", "273.15"],
  ["degC", "1", "273.15"],
  ["°F", "1/1.8", "459.67/1.8"],
  ["degF", "1/1.8", "459.67/1.8"],
  ["°R", "1/1.8", "0"],
];

const UNITS: ReadonlyMap<string, Unit> = new Map(
  [...proportional(), ...temperatures()].map((unit) => [unit.symbol, unit]),
);

function proportional(): Unit[] {
  return Object.entries(TABLE).flatMap(([dimension, row]) =>
    row.split(", ").map((pair) => {
      const [symbol = "", factor = ""] = pair.split(" ");
      return { symbol, dimension, factor: quotient(factor), offset: rational(0n) };
    }),
  );
}

function temperatures(): Unit[] {
  return TEMPERATURES.map(([symbol, factor, offset]) => ({
    symbol,
    dimension: "temperature",
    factor: quotient(factor),
    offset: quotient(offset),
  }));
}

function quotient(text: string): Rational {
  const [above = "", below = "1"] = text.split("/");
  const [a, b] = [decimal(above)!, decimal(below)!];
  return rational(a.numerator * b.denominator, a.denominator * b.numerator);
}
