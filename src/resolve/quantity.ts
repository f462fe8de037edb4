import { addRational, multiplyRational, type Quantity, type Rational } from "../program/quantity.js";
import { decimal, unitOf } from "./units.js";

/** A reading on a scale: `20 °C` is 293.15 K. Undefined where the number is not one. */
export function reading(number: string, unit: string): Quantity | undefined {
  const { dimension, factor, offset } = unitOf(unit);
  const value = decimal(number);
  if (!value) return undefined;
  return { text: written(number, unit), unit, dimension, value: addRational(multiplyRational(value, factor), offset) };
}

/** A difference between two readings: `20 °C` is 20 K, without the offset of the scale. */
export function difference(number: string, unit: string): Quantity | undefined {
  const { dimension, factor } = unitOf(unit);
  const value = decimal(number);
  return value && { text: written(number, unit), unit, dimension, value: multiplyRational(value, factor) };
}

/** A stated time in whole milliseconds: `15 s`, `3 min`, `0.5 s`. Undefined where it is none, or finer than a millisecond. */
export function milliseconds(number: string, unit: string): number | undefined {
  const value = decimal(number);
  const scale = TIMES.get(unit);
  if (!value || !scale || value.numerator < 0n) return undefined;
  return whole({ numerator: value.numerator * scale, denominator: value.denominator });
}

/** `15 s` taken apart: the number and the unit as written. */
export function numberAndUnit(text: string): { readonly number: string; readonly unit: string } | undefined {
  const parts = /^([+-]?\d+(?:\.\d+)?)\s*(\D.*)?$/su.exec(text.trim());
  return parts ? { number: parts[1] ?? "", unit: (parts[2] ?? "").trim() } : undefined;
}

const TIMES: ReadonlyMap<string, bigint> = new Map([
  ["ms", 1n],
  ["s", 1000n],
  ["min", 60_000n],
  ["h", 3_600_000n],
]);

function whole({ numerator, denominator }: Rational): number | undefined {
  if (numerator % denominator !== 0n) return undefined;
  const value = Number(numerator / denominator);
  return Number.isSafeInteger(value) ? value : undefined;
}

function written(number: string, unit: string): string {
  return unit === "" ? number : `${number} ${unit}`;
}
