import type { MapNode } from "../../syntax/tree.js";
import { GAUGE, notAGauge } from "../condition/compare.js";
import { lookup } from "../names/lookup.js";
import { allThere, scalarsAt } from "../read.js";
import type { Scene } from "../scene.js";

/** The gauges that a loop `moves`: a bare sided name or a group stands for each of its gauges. */
export function gaugesMoved(node: MapNode, scene: Scene): readonly string[] | undefined {
  const found = scalarsAt(node, "moves").map(({ text, span }) => {
    const gauges = lookup(text, span, scene, GAUGE);
    const stranger = gauges?.members.find(({ family }) => family.kind !== "gauge");
    if (stranger) scene.report(notAGauge(text, span, stranger.family.kind));
    return stranger ? undefined : gauges?.members.map(({ id }) => id);
  });
  return allThere(found) ? [...new Set(found.flat())] : undefined;
}
