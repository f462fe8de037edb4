import { type FindingKind, finding } from "../../diagnostics/finding.js";
import { cardWith, systemWithLayout } from "../example.js";
import { type PlacedThing, pairsOf, placedThings, spanOfPlace } from "../layout.js";
import type { LintRule } from "../rule.js";

const kind: FindingKind = {
  code: "map/one-place",
  severity: "warning",
  summary: "Two things are placed on the same spot of a panel.",
  why:
    "No two knobs stand nearer to each other than a finger is wide, and the map draws one over the other. A light that sits " +
    "in a control says so with `in`, and a guard needs no place of its own. Common practice, no published source.",
  bad: cardWith("- set: { pump: on }", { system: suctionAt(21) }),
  good: cardWith("- set: { pump: on }", { system: suctionAt(60) }),
};

/** Millimetres between the middles of two things. Common practice, no published source. */
const FINGER = 4;

export const onePlace: LintRule = {
  kind,
  system: (system, places) =>
    pairsOf(placedThings(system))
      .filter(([one, two]) => one.panel === two.panel && distance(one, two) < FINGER)
      .map(([one, two]) =>
        finding(kind, spanOfPlace(system, two, places), `\`${two.id}\` is placed where \`${one.id}\` is`, {
          labels: [{ at: spanOfPlace(system, one, places), text: "the other" }],
          help: ["correct one of the two places, or say `in` which control the light sits"],
          subject: { thing: two.id },
        }),
      ),
};

function distance(one: PlacedThing, two: PlacedThing): number {
  return Math.hypot(one.at[0] - two.at[0], one.at[1] - two.at[1]);
}

function suctionAt(x: number): string {
  return systemWithLayout(
    `desk: { title: DESK, at: [0, 0], size: [100, 80], places: { pump: [20, 20], suction: [${x}, 20] } }`,
  );
}
