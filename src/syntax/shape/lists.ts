import type { Finding, FindingKind } from "../../diagnostics/finding.js";
import { finding } from "../../diagnostics/finding.js";
import { SMALL_REPOSITORY, withFile } from "../examples.js";
import type { ListNode, Node, ScalarNode } from "../tree.js";
import { short } from "../words.js";

export const LISTED_TWICE: FindingKind = {
  code: "shape/listed-twice",
  severity: "error",
  summary: "A list names the same thing twice.",
  why: "One of the two is most likely another thing, misspelt; a list of lights with it passes for complete and is not.",
  bad: withFile("rig.yaml", SMALL_REPOSITORY["rig.yaml"]!.replace("[off, on]", "[off, on, on]")),
  good: SMALL_REPOSITORY,
};

/** Lists of numbers: the same one may stand twice. */
const NUMBERS: ReadonlySet<string> = new Set(["at", "size", "places"]);

/** Lists of names and conditions in which one stands twice, anywhere in a file. */
export function* checkLists(node: Node): Generator<Finding> {
  switch (node.kind) {
    case "scalar":
      return;
    case "list":
      yield* twice(node);
      for (const item of node.items) yield* checkLists(item);
      return;
    case "map":
      for (const { key, value } of node.entries) if (!NUMBERS.has(key.text)) yield* checkLists(value);
  }
}

function* twice(list: ListNode): Generator<Finding> {
  const first = new Map<string, ScalarNode>();
  for (const item of list.items) {
    if (item.kind !== "scalar") continue;
    const earlier = first.get(item.text);
    if (earlier) yield again(item, earlier);
    else first.set(item.text, item);
  }
}

function again(item: ScalarNode, earlier: ScalarNode): Finding {
  return finding(LISTED_TWICE, item.span, `\`${short(item.text)}\` stands twice in this list`, {
    labels: [{ at: earlier.span, text: "the first time" }],
    help: ["delete one of them"],
  });
}
