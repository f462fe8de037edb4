import { type Entry, entry, type MapNode, type Node } from "../tree.js";
import { isVerb } from "./verbs.js";

/** Every step of a procedure as written, parts included, outer ones before those inside them. */
export function* stepsIn(root: MapNode): Generator<MapNode> {
  const parts = entry(root, "parts");
  if (parts) yield* ofValues(parts.value);
  const steps = entry(root, "steps");
  if (steps) yield* stepsOf(steps.value);
}

/** True of the `if-not` of an `observe` that says what to do for each light, instead of one step for all. */
export function isKeyedByLight(value: Node): value is MapNode {
  return value.kind === "map" && !value.entries.some(({ key }) => isVerb(key.text));
}

/** A list of steps, or one step. */
function* stepsOf(node: Node): Generator<MapNode> {
  if (node.kind === "list") for (const item of node.items) yield* stepsOf(item);
  if (node.kind !== "map") return;
  yield node;
  for (const inner of node.entries) yield* inside(inner, node);
}

/** The steps that a key of a step holds. */
function* inside({ key, value }: Entry, step: MapNode): Generator<MapNode> {
  switch (key.text) {
    case "while":
    case "then":
    case "else":
    case "steps":
    case "repeat":
    case "memory":
      return yield* stepsOf(value);
    case "if-not":
      return yield* entry(step, "observe") && isKeyedByLight(value) ? ofValues(value) : stepsOf(value);
    case "together":
      return yield* ofValues(value);
    case "decide":
    case "choose":
      if (value.kind === "list") for (const way of value.items) yield* ofWay(way);
  }
}

function* ofValues(map: Node): Generator<MapNode> {
  if (map.kind === "map") for (const { value } of map.entries) yield* stepsOf(value);
}

function* ofWay(way: Node): Generator<MapNode> {
  if (way.kind !== "map") return;
  for (const { key, value } of way.entries) if (WAY_STEPS.has(key.text)) yield* stepsOf(value);
}

const WAY_STEPS: ReadonlySet<string> = new Set(["then", "otherwise", "steps"]);
