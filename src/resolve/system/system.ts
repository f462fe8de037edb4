import type { Finding } from "../../diagnostics/finding.js";
import type { System } from "../../program/system.js";
import type { Document } from "../../syntax/tree.js";
import { declareNames } from "../names/declare.js";
import type { NameTable } from "../names/table.js";
import { textAt } from "../read.js";
import { buildControl } from "./controls.js";
import { cutCycles } from "./cycles.js";
import { buildEquipment, buildNamedCondition, buildOutside } from "./equipment.js";
import { buildFits, buildTails } from "./fleet.js";
import { buildGauge } from "./gauges.js";
import { buildPanels, readPlaces } from "./layout.js";
import { buildGroups, buildLight, buildLightSets } from "./lights.js";
import { buildAll } from "./scope.js";

/** A system and the names by which rules and procedures call its things. */
export interface World {
  readonly system: System;
  readonly names: NameTable;
}

/** Resolves a system's file: first every name, then the conditions in which they stand. */
export function resolveSystem({ id, idSpan, root }: Document, report: (finding: Finding) => void): World {
  const names = declareNames(root, report);
  const building = { names, places: readPlaces(root, names, report), report };
  const fits = buildFits(names);
  const system: System = {
    id,
    title: textAt(root, "title") ?? id,
    fits,
    tails: buildTails(root, fits, report),
    controls: buildAll("control", building, buildControl),
    gauges: buildAll("gauge", building, buildGauge),
    equipment: buildAll("equipment", building, buildEquipment),
    outside: buildAll("outside", building, buildOutside),
    conditions: buildAll("condition", building, buildNamedCondition),
    lights: buildAll("light", building, buildLight),
    lightSets: buildLightSets(names),
    groups: buildGroups(names),
    panels: buildPanels(root, names),
    span: idSpan,
  };
  return { system: cutCycles(system, report), names };
}
