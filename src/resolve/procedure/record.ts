import type { Node } from "../../syntax/tree.js";
import { GAUGE, notAGauge } from "../condition/compare.js";
import { lookup } from "../names/lookup.js";
import type { Member } from "../names/table.js";
import type { Scene } from "../scene.js";

/** The gauges that a `record` is for: a bare sided name or a group stands for each of its gauges, a line each. */
export function gaugesToRecord(value: Node, scene: Scene): readonly Member[] {
  const names = value.kind === "list" ? value.items : [value];
  return names.flatMap((name) => (name.kind === "scalar" ? gauges(name.text, name, scene) : []));
}

function gauges(text: string, { span }: Node, scene: Scene): readonly Member[] {
  const found = lookup(text, span, scene, GAUGE);
  const stranger = found?.members.find(({ family }) => family.kind !== "gauge");
  if (stranger) scene.report(notAGauge(text, span, stranger.family.kind));
  return stranger ? [] : (found?.members ?? []);
}
