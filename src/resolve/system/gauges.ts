import type { Condition } from "../../program/condition.js";
import type { Band, Gauge } from "../../program/system.js";
import type { MapNode } from "../../syntax/tree.js";
import { rangeOf } from "../condition/band.js";
import { inSystem } from "../condition/purpose.js";
import type { Member } from "../names/table.js";
import { present, scalarAt } from "../read.js";
import { unitOf } from "../units.js";
import { placeOf } from "./controls.js";
import { type Building, conditionAt, thingFields } from "./scope.js";

export function buildGauge(member: Member, map: MapNode, building: Building): Gauge {
  const { unit } = member.family;
  const range = scalarAt(map, "range");
  const { low, high } = range ? rangeOf(range, unit, building.report) : {};
  const moves = movesOf(member, map, building);
  return {
    ...thingFields(member, map, building),
    kind: "gauge",
    unit,
    dimension: unitOf(unit).dimension,
    ...present({ low, high, moves }),
    bands: bandsOf(member, map, building),
    ...placeOf(member.id, map, building),
  };
}

function bandsOf({ family }: Member, map: MapNode, { report }: Building): Band[] {
  return family.values.flatMap((name) => {
    const written = scalarAt(map, name);
    return written ? [{ name, ...rangeOf(written, family.unit, report) }] : [];
  });
}

function movesOf(member: Member, map: MapNode, building: Building): Condition | undefined {
  const written = scalarAt(map, "moves");
  if (written?.text === "always") return { kind: "constant", value: true, span: written.span };
  return conditionAt(map, "moves", member, building, inSystem("`moves`"));
}
