import type { Outcome } from "../diagnostics/finding.js";
import { finding } from "../diagnostics/finding.js";
import type { QuantitySyntax } from "./condition/ast.js";
import { QUANTITY_SYNTAX } from "./condition/complaint.js";
import { placer } from "./condition/placer.js";
import type { ScalarNode } from "./tree.js";
import { short } from "./words.js";

/** A quantity, or a range of them, as written; units are not looked up yet and may be empty. */
export type MeasureSyntax =
  | { readonly kind: "single"; readonly value: QuantitySyntax }
  /** `3 to 4.5`, `3 s to 12 s`; where only the last has a unit (`3 to 12 s`) it is the first's too. */
  | { readonly kind: "range"; readonly low: QuantitySyntax; readonly high: QuantitySyntax }
  /** `up to 15 s`. */
  | { readonly kind: "up-to"; readonly value: QuantitySyntax }
  /** `from 3`. */
  | { readonly kind: "from"; readonly value: QuantitySyntax };

/** What a scalar such as `100 L`, `3 min`, `3 to 4.5`, `3 s to 12 s`, `up to 15 s` measures; a finding where it is none of these. */
export function parseQuantity(node: ScalarNode): Outcome<MeasureSyntax | undefined> {
  const shape = /^(?<word>up to |from )?(?<first>\S.*?)(?: to (?<second>\S.*))?$/.exec(node.text.trim());
  const { word, first, second } = shape?.groups ?? {};
  const offset = node.text.length - node.text.trimStart().length + (word?.length ?? 0);
  const low = first === undefined ? undefined : quantity(node, first, offset);
  const high = second === undefined ? undefined : quantity(node, second, node.text.trimEnd().length - second.length);
  const value = measure(word, low, second, high);
  return value ? { value, findings: [] } : { value: undefined, findings: [unreadable(node)] };
}

function measure(
  word: string | undefined,
  low: QuantitySyntax | undefined,
  second: string | undefined,
  high: QuantitySyntax | undefined,
): MeasureSyntax | undefined {
  if (!low) return undefined;
  if (second !== undefined) {
    if (!high || word) return undefined;
    return { kind: "range", low: low.unit === "" ? { ...low, unit: high.unit } : low, high };
  }
  if (word) return { kind: word === "from " ? "from" : "up-to", value: low };
  return { kind: "single", value: low };
}

function quantity(node: ScalarNode, text: string, offset: number): QuantitySyntax | undefined {
  const parts = /^(?<number>[+-]?[0-9]+(?:\.[0-9]+)?) ?(?<unit>[\p{L}%°µΩ][\p{L}\p{N}%°²³·/-]*)?$/u.exec(text)?.groups;
  if (!parts || NO_UNITS.test(parts.unit ?? "")) return undefined;
  return { number: parts.number!, unit: parts.unit ?? "", span: placer(node)(offset, offset + text.length) };
}

/** The word of a range, and an exponent (`1e3`). */
const NO_UNITS = /^(to$|[eE][0-9])/;

function unreadable(node: ScalarNode) {
  return finding(QUANTITY_SYNTAX, node.span, `\`${short(node.text)}\` is not a quantity`, {
    help: ["write digits, one decimal point and the unit, such as `1500 kg`, `0.5 bar`, `3 s to 12 s` or `up to 15 s`"],
  });
}
