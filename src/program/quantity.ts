/** An exact rational number; `denominator` is positive and the fraction is in lowest terms. */
export interface Rational {
  readonly numerator: bigint;
  readonly denominator: bigint;
}

/** A measured quantity: what was written, and its exact value in the base unit of its dimension. */
export interface Quantity {
  /** As written, `1000 lb`. */
  readonly text: string;
  readonly unit: string;
  /** Mass, volume, pressure, ...; quantities of different dimensions are never compared. */
  readonly dimension: string;
  /** In the base unit of the dimension (kg, L, Pa, ...), exact. */
  readonly value: Rational;
}

/** -1, 0 or 1 as `a` is below, equal to or above `b`. */
export function compareRational(a: Rational, b: Rational): -1 | 0 | 1 {
  const difference = a.numerator * b.denominator - b.numerator * a.denominator;
  return difference < 0n ? -1 : difference > 0n ? 1 : 0;
}

/** The fraction in lowest terms. The denominator must not be zero. */
export function rational(numerator: bigint, denominator = 1n): Rational {
  const divisor = greatestCommonDivisor(abs(numerator), abs(denominator)) || 1n;
  const sign = denominator < 0n ? -1n : 1n;
  return { numerator: (sign * numerator) / divisor, denominator: (sign * denominator) / divisor };
}

export function addRational(a: Rational, b: Rational): Rational {
  return rational(a.numerator * b.denominator + b.numerator * a.denominator, a.denominator * b.denominator);
}

export function multiplyRational(a: Rational, b: Rational): Rational {
  return rational(a.numerator * b.numerator, a.denominator * b.denominator);
}

export function negateRational(a: Rational): Rational {
  return { numerator: -a.numerator, denominator: a.denominator };
}

function abs(value: bigint): bigint {
  return value < 0n ? -value : value;
}

function greatestCommonDivisor(a: bigint, b: bigint): bigint {
  return b === 0n ? a : greatestCommonDivisor(b, a % b);
}
