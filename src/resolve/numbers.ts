import type { Finding } from "../diagnostics/finding.js";
import type { MapNode, Node, ScalarNode } from "../syntax/tree.js";
import { milliseconds, numberAndUnit } from "./quantity.js";
import { unreadable } from "./quantity-complaints.js";
import { scalarAt, valueAt } from "./read.js";

/** The time under a key, in milliseconds. */
export function timeAt(map: MapNode, key: string, report: (finding: Finding) => void): number | undefined {
  const node = scalarAt(map, key);
  return node && timeOf(node.text, node, report);
}

/** `15 s`; `text` is the node's, or a part of it. What has not the shape of a time is the schema's to report. */
export function timeOf(text: string, node: ScalarNode, report: (finding: Finding) => void): number | undefined {
  const parts = numberAndUnit(text);
  const time = parts && milliseconds(parts.number, parts.unit);
  if (parts && time === undefined && /^(ms|s|min|h)$/.test(parts.unit)) {
    report(unreadable(text, node.span, "a time in whole milliseconds", "write a time such as `15 s` or `3 min`"));
  }
  return time;
}

/** `3 s to 12 s`, or a single time, which is both ends. */
export function timeRangeAt(
  map: MapNode,
  key: string,
  report: (finding: Finding) => void,
): { low: number; high: number } | undefined {
  const node = scalarAt(map, key);
  if (!node) return undefined;
  const [first = "", second = first] = node.text.split(" to ");
  const ends = numberAndUnit(second);
  const start = numberAndUnit(first);
  const withUnit = start?.unit === "" && ends ? `${start.number} ${ends.unit}` : first;
  const [low, high] = [timeOf(withUnit, node, report), timeOf(second, node, report)];
  if (low === undefined || high === undefined) return undefined;
  if (low <= high) return { low, high };
  report(
    unreadable(node.text, node.span, "a range: its low end is above its high end", `write \`${second} to ${first}\``),
  );
  return undefined;
}

/** A whole number of one or more. */
export function wholeAt(map: MapNode, key: string, report: (finding: Finding) => void): number | undefined {
  const node = scalarAt(map, key);
  return node && wholeOf(node, report);
}

export function wholeOf({ text, span }: ScalarNode, report: (finding: Finding) => void): number | undefined {
  if (!/^[1-9][0-9]*$/.test(text)) return undefined;
  if (text.length <= 3) return Number(text);
  report(unreadable(text, span, "a number that a crew counts to", "write one below a thousand"));
  return undefined;
}

/** `[30, 40]`, millimetres. */
export function pairAt(map: MapNode, key: string): readonly [number, number] | undefined {
  return pairOf(valueAt(map, key));
}

export function pairOf(node: Node | undefined): readonly [number, number] | undefined {
  if (node?.kind !== "list" || node.items.length !== 2) return undefined;
  const [across, down] = node.items.map((item) =>
    item.kind === "scalar" && item.text !== "" ? Number(item.text) : Number.NaN,
  );
  return Number.isFinite(across) && Number.isFinite(down) ? [across!, down!] : undefined;
}
