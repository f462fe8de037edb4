import { type Finding, type FindingKind, finding } from "../diagnostics/finding.js";
import type { Quantity } from "../program/quantity.js";
import type { Span } from "../source/file.js";
import { example } from "./example.js";

const TANK = "gauges:\n  level: { label: LEVEL, unit: L, range: 0 to 800 }";

export const QUANTITY_UNITS: FindingKind = {
  code: "quantity/units",
  severity: "error",
  summary: "Two quantities are compared that do not measure the same thing.",
  why: "Units of one dimension are converted exactly (factors of NIST SP 811); between dimensions, or without a unit, a number could only be guessed at.",
  bad: example({ system: TANK, steps: "- check: level >= 100 kg\n  if-not: { set-aside: Fill the tank. }" }),
  good: example({ system: TANK, steps: "- check: level >= 100 L\n  if-not: { set-aside: Fill the tank. }" }),
};

export const QUANTITY_UNREADABLE: FindingKind = {
  code: "quantity/unreadable",
  severity: "error",
  summary: "A number, a time or a range cannot be read.",
  why: "A figure that the program reads otherwise than the crew does proves nothing.",
  bad: example({ system: "gauges:\n  level: { label: LEVEL, unit: L, range: 800 to 0 }" }),
  good: example({ system: TANK }),
};

export const QUANTITY_OUTSIDE_RANGE: FindingKind = {
  code: "quantity/outside-range",
  severity: "warning",
  summary: "A gauge is compared with a reading that it cannot show.",
  why: "Such a check always passes or never does; most often the number was meant in another unit.",
  bad: example({ system: TANK, steps: "- check: level >= 1000 L\n  if-not: { set-aside: Fill the tank. }" }),
  good: example({ system: TANK, steps: "- check: level >= 100 L\n  if-not: { set-aside: Fill the tank. }" }),
};

export function outsideRange(value: string, gauge: string, range: string, at: Span): Finding {
  return finding(QUANTITY_OUTSIDE_RANGE, at, `\`${gauge}\` never reads \`${value}\`: its range is ${range}`, {
    help: ["give a number within the range, or the unit that was meant"],
    subject: { thing: gauge },
  });
}

/** `left` and `right` are as written, each with what it measures. */
export function unlikeUnits(left: Measured, right: Measured, at: Span): Finding {
  const help =
    right.unit === "" && left.unit !== ""
      ? `give the number its unit, such as \`${right.text} ${left.unit}\``
      : `compare with a quantity in ${left.unit || "the same unit"}`;
  return finding(QUANTITY_UNITS, at, `\`${right.text}\` ${measures(right)}, and \`${left.text}\` ${measures(left)}`, {
    help: [help],
    subject: { thing: left.text },
  });
}

/** A gauge or a quantity, as far as messages need it. */
export type Measured = Pick<Quantity, "text" | "unit" | "dimension">;

export function unreadable(text: string, at: Span, what: string, help: string): Finding {
  return finding(QUANTITY_UNREADABLE, at, `\`${text}\` is not ${what}`, { help: [help] });
}

function measures({ unit, dimension }: Measured): string {
  if (unit === "") return "has no unit";
  return dimension === unit ? `is in ${unit}` : `is a ${dimension} (${unit})`;
}
