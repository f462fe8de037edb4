import { type FindingKind, finding } from "../../diagnostics/finding.js";
import { cardWith } from "../example.js";
import { type LintRule, subjectOf } from "../rule.js";
import { asWritten, everyStep, linesOf } from "../walk.js";

const kind: FindingKind = {
  code: "structure/many-memory-items",
  severity: "warning",
  summary: "A card has more than three items to be done from memory.",
  why:
    "What must be recalled under stress has to be short to be recalled at all. Based on UK CAA CAP 676, 7-2.6, as quoted " +
    "elsewhere: fewer than four recall items.",
  bad: cardWith(
    boxed(["Shout the alarm", "Start the hand pump", "Close the hatch", "Put on a life jacket"]),
    flooding(),
  ),
  good: cardWith(boxed(["Shout the alarm", "Start the hand pump", "Close the hatch"]), flooding()),
};

const MOST_ITEMS = 3;

/** O7 of the guidance, over all boxes of a card. */
export const manyMemoryItems: LintRule = {
  kind,
  procedure(procedure, context) {
    const boxes = everyStep(procedure.steps).flatMap((step) => (step.kind === "memory" ? [step] : []));
    const items = boxes.flatMap((box) => asWritten(box.steps)).reduce((sum, step) => sum + linesOf(step), 0);
    const [first] = boxes;
    if (!first || items <= MOST_ITEMS) return [];
    const message = `${items} items are to be done from memory; ${MOST_ITEMS} are the most`;
    const help = ["keep in the box what cannot wait for the card, and move the rest below it, to be read"];
    return [finding(kind, first.verb, message, { help, subject: subjectOf(context, first) })];
  },
};

function boxed(items: readonly string[]): string {
  return ["- memory:", ...items.map((item) => `    - do: ${item}`)].join("\n");
}

function flooding() {
  return { category: "emergency", head: "use-when: Water is coming in faster than the pump takes it out." };
}
