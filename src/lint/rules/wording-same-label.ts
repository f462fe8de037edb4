import { type Finding, type FindingKind, finding } from "../../diagnostics/finding.js";
import type { Control, Gauge, Light, System } from "../../program/system.js";
import { cardWith } from "../example.js";
import { type Places, valueUnder } from "../places.js";
import type { LintRule } from "../rule.js";

const kind: FindingKind = {
  code: "wording/same-label",
  severity: "warning",
  summary: "Two controls, gauges or lights of one panel bear the same label.",
  why:
    "A line that names one of them names both. Based on FAA AC 120-71B, 5.4, as quoted elsewhere: one name for one thing. " +
    "Sides told apart by their own mark, and lights in different controls, are not meant.",
  bad: cardWith("- set: { bow: on }", { system: twoPumps("PUMP", "PUMP") }),
  good: cardWith("- set: { bow: on }", { system: twoPumps("BOW PUMP", "STERN PUMP") }),
};

type Labelled = Control | Gauge | Light;

/** W16 of the guidance, in the equipment itself. */
export const sameLabel: LintRule = {
  kind,
  system(system, places) {
    const things = labelled(system);
    const firsts = new Map(things.map((thing) => [whereAndWhat(thing), thing] as const).reverse());
    return things.flatMap((thing) => {
      const first = firsts.get(whereAndWhat(thing));
      return first && first.family !== thing.family ? [alike(thing, first, places)] : [];
    });
  },
};

/** Guards are left out: they bear no label of their own. */
function labelled(system: System): readonly Labelled[] {
  const controls = [...system.controls.values()].filter((control) => !control.guards);
  return [...controls, ...system.gauges.values(), ...system.lights.values()];
}

function whereAndWhat(thing: Labelled): string {
  const holder = thing.kind === "light" ? (thing.in ?? "") : "";
  return [thing.kind, thing.panel ?? "", holder, thing.label.toLowerCase()].join("\n");
}

function alike(thing: Labelled, first: Labelled, places: Places): Finding {
  const message = `\`${thing.family}\` and \`${first.family}\` bear the same label, \`${thing.label}\``;
  const help = ["copy what is engraved, with whatever tells them apart on the panel, or say on which `panel` each is"];
  const labels = [{ at: first.span, text: "the other one" }];
  const at = valueUnder(places.after(thing.span), "label")?.span ?? thing.span;
  return finding(kind, at, message, { help, labels, subject: { thing: thing.family } });
}

function twoPumps(bow: string, stern: string): string {
  return `kind: system
title: Bilge of the workboat Tern (fictional)
controls:
  bow: { label: ${bow}, positions: [off, on] }
  stern: { label: ${stern}, positions: [off, on] }
`;
}
