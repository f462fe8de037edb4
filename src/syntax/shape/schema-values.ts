import type { Finding, FindingKind } from "../../diagnostics/finding.js";
import { finding } from "../../diagnostics/finding.js";
import { suggest } from "../../diagnostics/suggest.js";
import { withSteps } from "../examples.js";
import type { ShapeError } from "../generated/validators.js";
import type { Node } from "../tree.js";
import { short } from "../words.js";
import { gluedColon } from "../yaml/content.js";
import type { Located } from "./plain.js";
import { BAD_NAME, mendedName, title } from "./schema-keys.js";

export const WRONG_VALUE: FindingKind = {
  code: "shape/wrong-value",
  severity: "error",
  summary: "The value is not of the kind that its key wants.",
  why: "A list where a name belongs, or a time without its unit, has no sure meaning.",
  bad: withSteps("  - wait: 90\n  - set: { pump: on }\n"),
  good: withSteps("  - wait: 90 s\n  - set: { pump: on }\n"),
};

/** A value that is not of the kind that its key wants. */
export function wrongValue(error: ShapeError, place: Located): Finding {
  const glued = wantsMap(error) && place.node.kind === "scalar" ? gluedColon(place.node) : undefined;
  if (glued) return glued;
  const message = `${holder(place)} wants ${wanted(error)}; here is ${described(place.node)}`;
  const isName = error.keyword === "pattern" && /^(an id|the id|the name|a name)/.test(title(error));
  if (isName && place.node.kind === "scalar") {
    const help = mendedName(place.node.text, error);
    return finding(BAD_NAME, place.node.span, `\`${short(place.node.text)}\` is not ${title(error)}`, { help });
  }
  return finding(WRONG_VALUE, place.node.span, message, { help: wayOut(error, place.node) });
}

/** None where the message itself says how the value is written. */
function wayOut(error: ShapeError, node: Node): string[] {
  if (node.kind !== "scalar") {
    if (error.params.limit === 1) return ["fill it in, or leave the key out"];
    return error.keyword === "type" ? ["if it is text, put it in quotes"] : [];
  }
  const allowed = (error.params.allowedValues ?? []) as readonly unknown[];
  const near = suggest(node.text, allowed.map(String));
  if (near) return [`did you mean \`${near}\`?`];
  if (wantsMap(error)) return ["write it as `{ key: value }`, or as lines of `key: value`"];
  return wants(error, "array") ? ["write it as `[one, another]`, or as lines that begin with a dash"] : [];
}

function wantsMap(error: ShapeError): boolean {
  return wants(error, "object");
}

function wants(error: ShapeError, type: string): boolean {
  return error.keyword === "type" && String(error.params.type).includes(type);
}

function holder(place: Located): string {
  if (place.entry) return `\`${short(place.entry.key.text)}\``;
  if (place.itemOf) return `each item of \`${short(place.itemOf.key.text)}\``;
  return "this place";
}

function wanted(error: ShapeError): string {
  switch (error.keyword) {
    case "minItems":
    case "minProperties":
      return error.params.limit === 1
        ? `${title(error)}, not an empty one`
        : `${title(error)} of at least ${error.params.limit}`;
    case "maxItems":
      return `${title(error)}, of no more than ${error.params.limit}`;
    default:
      return title(error);
  }
}

/** What stands there, for people. */
export function described(node: Node): string {
  if (node.kind === "scalar") return node.text === "" ? "an empty text" : `\`${short(node.text)}\``;
  const size = node.kind === "list" ? node.items.length : node.entries.length;
  return size === 0 ? `an empty ${node.kind}` : `a ${node.kind}`;
}
