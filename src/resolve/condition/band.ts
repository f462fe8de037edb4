import type { Finding } from "../../diagnostics/finding.js";
import type { Condition } from "../../program/condition.js";
import { compareRational } from "../../program/quantity.js";
import type { Band } from "../../program/system.js";
import type { Span } from "../../source/file.js";
import type { ScalarNode } from "../../syntax/tree.js";
import type { Member } from "../names/table.js";
import { reading } from "../quantity.js";
import { unreadable } from "../quantity-complaints.js";
import { asMap, present, scalarAt } from "../read.js";

/** The gauge reads within one of its bands. */
export function bandOf(gauge: Member, band: string, negated: boolean, span: Span): Condition {
  const map = asMap(gauge.family.node);
  const written = map && scalarAt(map, band);
  const { low, high } = written ? rangeOf(written, gauge.family.unit, () => {}) : {};
  return { kind: "band", gauge: gauge.id, band, negated, ...present({ low, high }), span };
}

/** `0 to 800`, `up to 4.5`, `from 3`, in the gauge's unit; both ends belong to it. Open where it cannot be read. */
export function rangeOf(
  { text, span }: ScalarNode,
  unit: string,
  report: (finding: Finding) => void,
): Omit<Band, "name"> {
  const upTo = /^up to\s+(\S+)$/.exec(text);
  const above = /^from\s+(\S+)$/.exec(text);
  const between = upTo ? undefined : /^(\S+) to (\S+)$/.exec(text);
  const [low, high] = [above?.[1] ?? between?.[1], upTo?.[1] ?? between?.[2]];
  const [from, to] = [low, high].map((number) => (number === undefined ? undefined : reading(number, unit)));
  if (from && to && compareRational(from.value, to.value) > 0) {
    report(unreadable(text, span, "a range: its low end is above its high end", `write \`${high} to ${low}\``));
    return {};
  }
  return present({ low: from, high: to });
}
