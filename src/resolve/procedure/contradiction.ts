import { type Finding, type FindingKind, finding } from "../../diagnostics/finding.js";
import type { Move } from "../../program/procedure.js";
import type { Span } from "../../source/file.js";
import { entry, type MapNode, type Node } from "../../syntax/tree.js";
import { example } from "../example.js";

const LEVEL = "gauges:\n  level: { label: LEVEL, unit: cm, range: 0 to 80, moves: always }";

export const STEP_CONTRADICTION: FindingKind = {
  code: "step/contradiction",
  severity: "error",
  summary: "What a step says does not go together.",
  why: "A control cannot go to two positions at once; a loop with two ends leaves the reader to choose one; ways after `otherwise` are never taken; and people who already work side by side cannot be divided again.",
  bad: example({ system: LEVEL, steps: "- repeat:\n    - do: Look at the level\n  until: level <= 10 cm\n  times: 3" }),
  good: example({ system: LEVEL, steps: "- repeat:\n    - do: Look at the level\n  until: level <= 10 cm" }),
};

export function nestedLanes(at: Span): Finding {
  return finding(STEP_CONTRADICTION, at, "`together` stands inside `together`", {
    help: ["give each of the crew one list of steps, and end it before the next `together`"],
  });
}

/** What is moved at once goes to one position each. */
export function movedTwice(moves: readonly Move[]): Finding | undefined {
  const first = new Map<string, Move>();
  for (const move of moves) {
    for (const control of move.controls) {
      const earlier = first.get(control);
      if (!earlier) first.set(control, move);
      else if (earlier !== move) return inTwoPlaces(control, earlier, move);
    }
  }
  return undefined;
}

function inTwoPlaces(control: string, first: Move, second: Move): Finding {
  return finding(STEP_CONTRADICTION, second.span, `\`${control}\` is moved twice at once`, {
    labels: [{ at: first.span, text: "here first" }],
    help: ["write a list, in the order in which they are moved, or name each control once"],
    subject: { thing: control },
  });
}

/** A `repeat` ends by a condition or by a count. */
export function twoEnds(step: MapNode): Finding | undefined {
  const [until, times] = [entry(step, "until"), entry(step, "times")];
  if (!until || !times) return undefined;
  const later = until.key.span.start > times.key.span.start ? until : times;
  return finding(STEP_CONTRADICTION, later.key.span, "a `repeat` with both `until` and `times` has two ends", {
    help: ["keep the one that ends it"],
  });
}

/** The `otherwise` of a `decide` is its last way. */
export function wayAfterOtherwise(decide: Node): Finding | undefined {
  const ways = decide.kind === "list" ? decide.items : [];
  const otherwise = ways.findIndex((way) => way.kind === "map" && entry(way, "otherwise") !== undefined);
  const next = ways[otherwise + 1];
  if (otherwise < 0 || !next) return undefined;
  const at = next.kind === "map" ? (next.entries[0]?.key.span ?? next.span) : next.span;
  return finding(STEP_CONTRADICTION, at, "a way after `otherwise` is never taken", {
    labels: [{ at: ways[otherwise]!.span, text: "takes whatever is left" }],
    help: ["put `otherwise` last"],
  });
}
