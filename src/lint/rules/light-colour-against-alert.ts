import { type Finding, type FindingKind, finding } from "../../diagnostics/finding.js";
import type { Colour, Light } from "../../program/system.js";
import { cardWith, systemWith } from "../example.js";
import { type Places, valueUnder } from "../places.js";
import type { LintRule } from "../rule.js";

const kind: FindingKind = {
  code: "light/colour-against-alert",
  severity: "warning",
  summary: "A warning that is not red, a caution that is not amber, or an advisory that is either.",
  why:
    "A crew answers to the colour before it has read the legend. Based on 14 CFR 23.1322 (1999) and 27.1322: red for a hazard " +
    "that may need action at once, amber where action may be needed later, other colours clearly different. IEC 60073, as " +
    "quoted elsewhere, agrees on red and yellow; a project whose equipment is made to other colours turns this off.",
  bad: cardWith("- set: { pump: on }", { system: highWater("amber") }),
  good: cardWith("- set: { pump: on }", { system: highWater("red") }),
};

/** L1 of the guidance. */
export const colourAgainstAlert: LintRule = {
  kind,
  system: (system, places) => [...system.lights.values()].flatMap((light) => compare(light, places)),
};

const ALERT_COLOURS: Partial<Record<NonNullable<Light["alert"]>, Colour>> = { warning: "red", caution: "amber" };

function compare(light: Light, places: Places): readonly Finding[] {
  const { alert, colour } = light;
  if (!alert || !colour) return [];
  const wanted = ALERT_COLOURS[alert];
  const fits = wanted ? colour === wanted : colour !== "red" && colour !== "amber";
  if (fits) return [];
  const at = valueUnder(places.after(light.span), "colour")?.span ?? light.span;
  const usual = wanted ? `a ${alert} is ${wanted}` : "an advisory is neither red nor amber";
  const message = `\`${light.label}\` is ${alert === "advisory" ? "an" : "a"} ${alert} and ${colour}; ${usual}`;
  const help = ["mend `colour` or `alert`, whichever does not match the equipment"];
  return [finding(kind, at, message, { help, subject: { thing: light.family } })];
}

function highWater(colour: string): string {
  return systemWith(`
    high-water: { label: HIGH WATER, colour: ${colour}, alert: warning, lit-when: well >= 200 L }
    bell: { label: BELL, sound: true, lit-when: well >= 200 L }`);
}
