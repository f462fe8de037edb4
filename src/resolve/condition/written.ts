import type { Condition } from "../../program/condition.js";
import { parseCondition } from "../../syntax/condition/parser.js";
import type { ScalarNode } from "../../syntax/tree.js";
import type { Scene } from "../scene.js";
import { resolveCondition } from "./condition.js";
import type { Purpose } from "./purpose.js";

/** Reads a condition as written in a file and resolves it; undefined where there is none, or where it was reported. */
export function readCondition(node: ScalarNode | undefined, scene: Scene, purpose: Purpose): Condition | undefined {
  if (!node || node.text === "") return undefined;
  const { value, findings } = parseCondition(node);
  for (const each of findings) scene.report(each);
  return value && resolveCondition(value, scene, purpose);
}
