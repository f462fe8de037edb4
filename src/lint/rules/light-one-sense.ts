import { type FindingKind, finding } from "../../diagnostics/finding.js";
import { cardWith, systemWith } from "../example.js";
import type { LintRule } from "../rule.js";

const kind: FindingKind = {
  code: "light/one-sense",
  severity: "info",
  summary: "A system has warning lights and no sound at all.",
  why:
    "A light is seen by whoever happens to look. Based on 14 CFR 25.1322 (c)(2), which is law for transport aeroplanes only: " +
    "warnings reach two senses. Where the equipment has a bell or a horn, a card that tests the lights should test it too.",
  bad: cardWith("- set: { pump: on }", { system: systemWith(highWater()) }),
  good: cardWith("- set: { pump: on }", {
    system: systemWith(`${highWater()}\n    bell: { label: BELL, sound: true, lit-when: well >= 200 L }`),
  }),
};

/** L2 of the guidance, as far as the model can tell. One finding for a system, at its first warning light. */
export const oneSense: LintRule = {
  kind,
  system(system) {
    const lights = [...system.lights.values()];
    const warning = lights.find((light) => light.alert === "warning" && !light.sound);
    if (!warning || lights.some((light) => light.sound)) return [];
    const message = `\`${warning.label}\` warns by light alone: this system has no sound`;
    const help = ["add the bell or horn with `sound: true`; turn this off where the equipment has none"];
    return [finding(kind, warning.span, message, { help, subject: { thing: warning.family } })];
  },
};

function highWater(): string {
  return "    high-water: { label: HIGH WATER, colour: red, alert: warning, lit-when: well >= 200 L }";
}
