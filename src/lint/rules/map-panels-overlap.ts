import { type FindingKind, finding } from "../../diagnostics/finding.js";
import { cardWith, systemWithLayout } from "../example.js";
import { type PlacedPanel, pairsOf, placedPanels } from "../layout.js";
import type { LintRule } from "../rule.js";

const kind: FindingKind = {
  code: "map/panels-overlap",
  severity: "warning",
  summary: "Two panels of one area lie over each other.",
  why:
    "A map that shows a switch under another panel sends the hand to the wrong place: a measure is wrong, or the panels are " +
    "in different areas. It is drawn all the same. Common practice, no published source.",
  bad: cardWith("- set: { pump: on }", { system: twoPanels(90) }),
  good: cardWith("- set: { pump: on }", { system: twoPanels(110) }),
};

/** In millimetres. Measures are taken roughly: panels that lap over by less are side by side. */
const SLACK = 1;

export const panelsOverlap: LintRule = {
  kind,
  system: (system) =>
    pairsOf(placedPanels(system))
      .filter(([one, two]) => one.area === two.area && lapOver(one, two))
      .map(([one, two]) =>
        finding(kind, two.span, `panel \`${two.id}\` lies over \`${one.id}\``, {
          labels: [{ at: one.span, text: "the other panel" }],
          help: ["correct `at` or `size`, or put the panels in different areas"],
          subject: { thing: two.id },
        }),
      ),
};

function lapOver(one: PlacedPanel, two: PlacedPanel): boolean {
  const along = (axis: 0 | 1) =>
    Math.min(one.at[axis] + one.size[axis], two.at[axis] + two.size[axis]) - Math.max(one.at[axis], two.at[axis]);
  return along(0) > SLACK && along(1) > SLACK;
}

function twoPanels(x: number): string {
  return systemWithLayout(`
    desk: { title: DESK, at: [0, 0], size: [100, 80], places: { pump: [20, 20] } }
    rack: { title: RACK, at: [${x}, 0], size: [60, 80], places: { suction: [30, 30] } }`);
}
