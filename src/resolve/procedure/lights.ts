import type { ScalarNode } from "../../syntax/tree.js";
import { wrongKind } from "../names/complaints.js";
import { lookup, type Sought } from "../names/lookup.js";
import { called, type Member } from "../names/table.js";
import type { Scene } from "../scene.js";

const LIGHT: Sought = { what: "the name of a light", kinds: ["light", "light set"] };

/** The lights that a name stands for: one, all sides of a bare name, or those of a group or light set. */
export function lightsNamed({ text, span }: ScalarNode, scene: Scene): readonly Member[] {
  const found = lookup(text, span, scene, LIGHT);
  const stranger = found?.members.find(({ family }) => family.kind !== "light");
  if (!stranger) return found?.members ?? [];
  const message = `\`${stranger.id}\` is ${called(stranger.family.kind)}, not a light`;
  scene.report(wrongKind(text, span, message, "name lights; of the rest `check` what is so of it"));
  return [];
}
