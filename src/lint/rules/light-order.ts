import { type FindingKind, finding } from "../../diagnostics/finding.js";
import type { Light, LightSet } from "../../program/system.js";
import type { Span } from "../../source/file.js";
import { cardWith, systemWith } from "../example.js";
import { itemOf, type Places, valueUnder } from "../places.js";
import type { LintRule } from "../rule.js";

const kind: FindingKind = {
  code: "light/order",
  severity: "info",
  summary: "A light set lists a lesser alert before a graver one.",
  why:
    "A list of lights is read from the top, and cards and tables print a set in its order. Based on MIL-STD-411F, 5.2.5: " +
    "warnings first, then cautions, then advisories. Sounds and lights that are no alert may stand anywhere.",
  bad: cardWith("- set: { pump: on }", { system: panel("low-oil, high-water") }),
  good: cardWith("- set: { pump: on }", { system: panel("high-water, low-oil") }),
};

const ALERT_RANK = { warning: 0, caution: 1, advisory: 2 } as const;

/** L4 of the guidance. One finding for a set, at its first light that comes too late. */
export const lightOrder: LintRule = {
  kind,
  system: (system, places) =>
    [...system.lightSets.values()].flatMap((set) => {
      const alerts = set.lights.flatMap((id) => ranked(system.lights.get(id)));
      const late = alerts.find(({ rank }, index) => alerts.slice(0, index).some((before) => before.rank > rank));
      const before = alerts.find(({ rank }) => late && rank > late.rank);
      if (!late || !before) return [];
      const message = `\`${set.id}\` lists the ${late.light.alert} \`${late.light.label}\` after the ${before.light.alert} \`${before.light.label}\``;
      const help = ["list warnings first, then cautions, then advisories"];
      const at = placeInSet(set, late.light, places);
      return [finding(kind, at, message, { help, subject: { thing: set.id } })];
    }),
};

/** The light in the list, by its own name or by that of both sides. */
function placeInSet(set: LightSet, light: Light, places: Places): Span {
  const written = places.after(set.span);
  const list = valueUnder(written, "lights") ?? written;
  return (itemOf(list, light.id) ?? itemOf(list, light.family))?.span ?? set.span;
}

function ranked(light: Light | undefined): readonly { readonly light: Light; readonly rank: number }[] {
  return light?.alert && !light.sound ? [{ light, rank: ALERT_RANK[light.alert] }] : [];
}

function panel(order: string): string {
  return `${systemWith(`
    high-water: { label: HIGH WATER, colour: red, alert: warning, lit-when: well >= 200 L }
    low-oil: { label: LOW OIL, colour: amber, alert: caution, lit-when: pump is on }
    bell: { label: BELL, sound: true, lit-when: well >= 200 L }`)}light-sets:
  panel: [${order}]
`;
}
