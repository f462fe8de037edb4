import type { Span } from "../../source/file.js";
import { isVerb } from "../../syntax/shape/verbs.js";
import type { Entry, MapNode, Node } from "../../syntax/tree.js";
import { asMap, firstEntries, textAt, valueAt } from "../read.js";
import type { Scene } from "../scene.js";
import { lightsNamed } from "./lights.js";

/** A list of steps inside a step, as written. */
export interface WrittenBranch {
  readonly slot: string;
  readonly steps: readonly Node[];
  readonly span: Span;
  readonly key?: string | undefined;
  readonly node?: MapNode | undefined;
}

/** The lists of steps inside a step, in reading order. A `perform` has none of its own. */
export function branchesOf(node: MapNode, verb: Entry, scene: Scene): readonly WrittenBranch[] {
  switch (verb.key.text) {
    case "check":
    case "watch":
      return under(node, "if-not");
    case "observe":
      return observed(node, scene);
    case "hold":
      return under(node, "while");
    case "wait-for":
      return [...under(node, "while"), ...under(node, "if-not")];
    case "if":
      return [...under(node, "then"), ...under(node, "else")];
    case "decide":
      return ways(verb.value);
    case "choose":
      return options(verb.value);
    case "repeat":
    case "memory":
      return [{ slot: "steps", steps: stepsOf(verb.value), span: verb.value.span }];
    case "together":
      return lanes(verb.value);
    case "section":
      return under(node, "steps");
    default:
      return [];
  }
}

function under(node: MapNode, key: string): WrittenBranch[] {
  const value = valueAt(node, key);
  return value ? [{ slot: key, steps: stepsOf(value), span: value.span }] : [];
}

/** A list of steps; one step may stand without the list. */
function stepsOf(node: Node): readonly Node[] {
  return node.kind === "list" ? node.items : [node];
}

/** `if-not` of an observation is for any light, or a map of a light to what is done when that one is wrong. */
function observed(node: MapNode, scene: Scene): WrittenBranch[] {
  const value = valueAt(node, "if-not");
  const keyed = asMap(value);
  if (!keyed || keyed.entries.some(({ key }) => isVerb(key.text))) return under(node, "if-not");
  return firstEntries(keyed.entries).flatMap(({ key, value: steps }) => {
    return lightsNamed(key, scene).map(({ id }) => ({
      slot: "if-not",
      steps: stepsOf(steps),
      span: key.span,
      key: id,
    }));
  });
}

function ways(value: Node): WrittenBranch[] {
  const maps = value.kind === "list" ? value.items.filter((item) => item.kind === "map") : [];
  return maps.flatMap((way) => {
    const steps = valueAt(way, "then") ?? valueAt(way, "otherwise");
    return steps ? [{ slot: "way", steps: stepsOf(steps), span: way.span, node: way }] : [];
  });
}

function options(value: Node): WrittenBranch[] {
  const maps = value.kind === "list" ? value.items.filter((item) => item.kind === "map") : [];
  return maps.flatMap((option) => {
    const steps = valueAt(option, "steps");
    return steps
      ? [{ slot: "option", steps: stepsOf(steps), span: option.span, key: textAt(option, "title") ?? "" }]
      : [];
  });
}

function lanes(value: Node): WrittenBranch[] {
  const entries = firstEntries(asMap(value)?.entries ?? []);
  return entries.map(({ key, value: steps }) => ({
    slot: "lane",
    steps: stepsOf(steps),
    span: key.span,
    key: key.text,
  }));
}
