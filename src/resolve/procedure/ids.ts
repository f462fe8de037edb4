import { isVerb } from "../../syntax/shape/verbs.js";
import type { Node, ScalarNode } from "../../syntax/tree.js";
import { twice } from "../names/complaints.js";
import { scalarAt } from "../read.js";
import type { ProcedureText, Project } from "./text.js";

/** Reports a step id that a procedure's file gives twice, and a part that has the name of a procedure. */
export function checkIds({ id, root, parts, world }: ProcedureText, { report, texts }: Project): void {
  const first = new Map<string, ScalarNode>();
  for (const step of stepIds(root)) {
    const earlier = first.get(step.text);
    if (earlier) report(twice(step.text, step.span, earlier.span, `a step of \`${id}\``));
    else first.set(step.text, step);
  }
  for (const { key } of parts.values()) {
    const other = texts.get(key.text);
    if (other?.world === world) report(twice(key.text, key.span, other.idSpan, "a procedure"));
  }
}

/** The ids of all steps in a tree, in written order. A step is a map with a verb. */
function* stepIds(node: Node): Generator<ScalarNode> {
  if (node.kind === "list") for (const item of node.items) yield* stepIds(item);
  if (node.kind !== "map") return;
  const id = node.entries.some(({ key }) => isVerb(key.text)) ? scalarAt(node, "id") : undefined;
  if (id) yield id;
  for (const { value } of node.entries) yield* stepIds(value);
}
