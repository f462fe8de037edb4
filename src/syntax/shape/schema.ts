import type { Finding } from "../../diagnostics/finding.js";
import { procedure, project, rules, type ShapeError, system, type Validator } from "../generated/validators.js";
import { firstOf } from "../limits.js";
import type { DocumentKind, MapNode, Node } from "../tree.js";
import type { Holes } from "../yaml/convert.js";
import { isNoKey, type Located, locate, plain } from "./plain.js";
import { badKey, missingKey, title, unknownKey } from "./schema-keys.js";
import { wrongValue } from "./schema-values.js";

const VALIDATORS: Readonly<Record<DocumentKind, Validator>> = { project, system, rules, procedure };

/** The root of a file against the schema of its kind. `holes` are keys that stand there without a value. */
export function checkSchema(kind: DocumentKind, root: MapNode, holes: Holes): Finding[] {
  const validate = VALIDATORS[kind];
  if (validate(plain(root))) return [];
  return firstOf(inWords(validate.errors ?? [], root, holes));
}

function* inWords(errors: readonly ShapeError[], root: MapNode, holes: Holes): Generator<Finding> {
  const judged = new Set<Node>();
  for (const error of errors) {
    const said = say(error, locate(root, error.instancePath), holes, judged);
    if (said) yield said;
  }
}

function say(error: ShapeError, place: Located, holes: Holes, judged: Set<Node>): Finding | undefined {
  if (error.propertyName !== undefined) return badKey(error, place, error.propertyName);
  switch (error.keyword) {
    case "if":
    case "propertyNames":
      return undefined;
    case "required":
      return missingKey(String(error.params.missingProperty), title(error), place, holes);
    case "additionalProperties":
      return unknownKey(String(error.params.additionalProperty), error, place);
    default:
      if (judged.has(place.node) || isEmptiedByOther(error, place.node, holes)) return undefined;
      judged.add(place.node);
      return wrongValue(error, place);
  }
}

/** A map is empty only because what stands in it has a finding already. */
function isEmptiedByOther(error: ShapeError, node: Node, holes: Holes): boolean {
  if (error.keyword !== "minProperties" || node.kind !== "map") return false;
  return holes.has(node) || node.entries.some(({ key }) => isNoKey(key.text));
}
