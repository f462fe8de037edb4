import { type FindingKind, finding } from "../../diagnostics/finding.js";
import { cardWith, systemWith } from "../example.js";
import { valueUnder } from "../places.js";
import type { LintRule } from "../rule.js";

const kind: FindingKind = {
  code: "light/bare-legend",
  severity: "warning",
  summary: "A light's legend says that something is wrong, and not what.",
  why:
    "A bare FAIL sends the crew looking. Based on MIL-STD-411F, 5.2.5: a legend names the subsystem and the problem. A light " +
    "that sits in a labelled control is named by it and is not meant.",
  bad: cardWith("- set: { pump: on }", { system: pumpFailure("FAIL") }),
  good: cardWith("- set: { pump: on }", { system: pumpFailure("BILGE PUMP FAIL") }),
};

const BARE = /^(fail(ed|ure)?|fault|trouble|malfunction|abnormal|alarm|alert|error|warning|caution|inop)$/iu;

/** L3 of the guidance. A sound has no legend to read. */
export const bareLegend: LintRule = {
  kind,
  system: (system, places) =>
    [...system.lights.values()].flatMap((light) => {
      if (light.sound || light.in !== undefined || !BARE.test(light.label.trim())) return [];
      const at = valueUnder(places.after(light.span), "label")?.span ?? light.span;
      const help = [
        "give the subsystem and the problem, as `BILGE PUMP FAIL`, if the panel does; say `in` which control it sits",
      ];
      const message = `the legend \`${light.label}\` does not say what it is about`;
      return [finding(kind, at, message, { help, subject: { thing: light.family } })];
    }),
};

function pumpFailure(label: string): string {
  return systemWith(
    `pump-fail: { label: ${label}, colour: amber, alert: caution, lit-when: pump is on and well >= 300 L }`,
  );
}
