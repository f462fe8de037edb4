import { type FindingKind, finding } from "../../diagnostics/finding.js";
import { cardWith, systemWithLayout } from "../example.js";
import { placedThings, spanOfPlace } from "../layout.js";
import type { LintRule } from "../rule.js";

const kind: FindingKind = {
  code: "map/off-panel",
  severity: "warning",
  summary: "A thing is placed outside of its panel.",
  why:
    "Places count from the upper left corner of the panel, in millimetres. One outside of it is a slip of the pen: the map " +
    "shows the thing where it is not, and the length of the way there is wrong. Common practice, no published source.",
  bad: cardWith("- set: { pump: on }", { system: pumpAt(120) }),
  good: cardWith("- set: { pump: on }", { system: pumpAt(20) }),
};

export const offPanel: LintRule = {
  kind,
  system: (system, places) =>
    placedThings(system).flatMap((thing) => {
      const panel = thing.panel === undefined ? undefined : system.panels.get(thing.panel);
      const [x, y] = thing.at;
      if (!panel?.size || (x >= 0 && y >= 0 && x <= panel.size[0] && y <= panel.size[1])) return [];
      const [width, height] = panel.size;
      return [
        finding(
          kind,
          spanOfPlace(system, thing, places),
          `\`${thing.id}\` at ${x}, ${y} is off panel \`${panel.id}\``,
          {
            labels: [{ at: panel.span, text: `${width} by ${height} mm` }],
            help: ["count its place from the upper left corner of the panel, in millimetres"],
            subject: { thing: thing.id },
          },
        ),
      ];
    }),
};

function pumpAt(x: number): string {
  return systemWithLayout(
    `desk: { title: DESK, at: [0, 0], size: [100, 80], places: { pump: [${x}, 20], suction: [50, 50] } }`,
  );
}
