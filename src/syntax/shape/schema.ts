import type { Finding, FindingKind } from "../../diagnostics/finding.js";
import { finding } from "../../diagnostics/finding.js";
import { suggest } from "../../diagnostics/suggest.js";
import { SMALL_REPOSITORY, withCard, withFile, withSteps } from "../examples.js";
import { procedure, project, rules, type ShapeError, system, type Validator } from "../generated/validators.js";
import { firstOf } from "../limits.js";
import type { DocumentKind, MapNode, Node, ScalarNode } from "../tree.js";
import { listed, short } from "../words.js";
import { gluedColon } from "../yaml/content.js";
import type { Holes } from "../yaml/convert.js";
import { isNoKey, type Located, locate, plain } from "./plain.js";
import { isVerb, keysBeside, STEP_HELP, VERBS } from "./verbs.js";

export const UNKNOWN_KEY: FindingKind = {
  code: "shape/unknown-key",
  severity: "error",
  summary: "A key is not one of those that can stand here.",
  why: "A key that nothing reads says something to the author and nothing to the card: a `waring` would never be printed.",
  bad: withSteps("  - set: { pump: on }\n    waring: The pump starts at once.\n"),
  good: withSteps("  - set: { pump: on }\n    warning: The pump starts at once.\n"),
};

export const MISSING_KEY: FindingKind = {
  code: "shape/missing-key",
  severity: "error",
  summary: "A key that must be there is not.",
  why: "The card, or the proof, cannot be made without it.",
  bad: withCard("kind: procedure\ncategory: normal\nsteps:\n  - set: { pump: on }\n"),
  good: SMALL_REPOSITORY,
};

export const WRONG_VALUE: FindingKind = {
  code: "shape/wrong-value",
  severity: "error",
  summary: "The value is not of the kind that its key wants.",
  why: "A list where a name belongs, or a time without its unit, has no sure meaning.",
  bad: withSteps("  - wait: 90\n  - set: { pump: on }\n"),
  good: withSteps("  - wait: 90 s\n  - set: { pump: on }\n"),
};

export const BAD_NAME: FindingKind = {
  code: "shape/name",
  severity: "error",
  summary: "A name is not written as names are.",
  why: "One way to write names keeps them apart from words of the language, and lets a reviewer search for them.",
  bad: withFile(
    "rig.yaml",
    SMALL_REPOSITORY["rig.yaml"]!.replace(
      "controls:\n",
      "controls:\n  Pump_2: { label: PUMP 2, positions: [off, on] }\n",
    ),
  ),
  good: withFile(
    "rig.yaml",
    SMALL_REPOSITORY["rig.yaml"]!.replace(
      "controls:\n",
      "controls:\n  pump-2: { label: PUMP 2, positions: [off, on] }\n",
    ),
  ),
};

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
      return missing(String(error.params.missingProperty), title(error), place, holes);
    case "additionalProperties":
      return unknown(String(error.params.additionalProperty), error, place);
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

function badKey(error: ShapeError, place: Located, name: string): Finding {
  const at = keyOf(place, name)?.span ?? place.node.span;
  return finding(BAD_NAME, at, `\`${short(name)}\` is not ${title(error)}`, { help: kebabHelp(name, error) });
}

/** Offers the name mended only where the schema would take it. */
function kebabHelp(name: string, error: ShapeError): string[] {
  const pattern = error.parentSchema?.pattern;
  const mended = name
    .trim()
    .toLowerCase()
    .replace(/[\s_]+/g, "-");
  const fits = typeof pattern === "string" && new RegExp(pattern).test(mended);
  return fits ? [`write \`${mended}\``] : [];
}

function missing(key: string, what: string, place: Located, holes: Holes): Finding | undefined {
  if (place.node.kind !== "map") return undefined;
  if (holes.get(place.node)?.some((hole) => hole.text === key)) return undefined;
  return finding(MISSING_KEY, anchor(place), `\`${key}\` is missing from ${what}`, { help: [`add \`${key}:\``] });
}

/** Where a finding about a whole map puts its caret: the key that holds it, else its own first key. */
function anchor(place: Located) {
  const first = place.node.kind === "map" ? place.node.entries[0]?.key.span : undefined;
  return place.entry?.key.span ?? first ?? place.node.span;
}

function unknown(key: string, error: ShapeError, place: Located): Finding {
  const known = Object.keys((error.parentSchema?.properties ?? {}) as object);
  const near = suggest(key, known);
  const help = near
    ? `did you mean \`${near}\`?`
    : isStep(known)
      ? stepHelp(place.node)
      : `its keys are ${listed(known)}`;
  const at = keyOf(place, key)?.span ?? place.node.span;
  const message = `\`${short(key)}\` is not a key of ${title(error)}`;
  return finding(UNKNOWN_KEY, at, message, { help: [help, ...maybeText(place, key)] });
}

function isStep(keys: readonly string[]): boolean {
  return VERBS.every((verb) => keys.includes(verb));
}

function stepHelp(step: Node): string {
  const verb = step.kind === "map" ? step.entries.map(({ key }) => key.text).find(isVerb) : undefined;
  return verb ? `beside \`${verb}\` a step may have ${listed(keysBeside(verb))}` : STEP_HELP;
}

/** Inside { } what follows a comma may be meant for the text before it. */
function maybeText({ node }: Located, key: string): string[] {
  if (node.kind !== "map" || !node.flow) return [];
  const before = node.entries[node.entries.findIndex((entry) => entry.key.text === key) - 1]?.value;
  const isText = before?.kind === "scalar" && before.style === "plain" && before.text.includes(" ");
  return isText ? ["if it belongs to the text before it, put all of that text in quotes"] : [];
}

function keyOf(place: Located, name: string): ScalarNode | undefined {
  return place.node.kind === "map" ? place.node.entries.find((entry) => entry.key.text === name)?.key : undefined;
}

function wrongValue(error: ShapeError, place: Located): Finding {
  const glued = wantsMap(error) && place.node.kind === "scalar" ? gluedColon(place.node) : undefined;
  if (glued) return glued;
  const message = `${holder(place)} wants ${wanted(error)}; here is ${described(place.node)}`;
  const isName = error.keyword === "pattern" && /^(an id|the id|the name|a name)/.test(title(error));
  if (isName && place.node.kind === "scalar") {
    const help = kebabHelp(place.node.text, error);
    return finding(BAD_NAME, place.node.span, `\`${short(place.node.text)}\` is not ${title(error)}`, { help });
  }
  const candidates = (error.params.allowedValues ?? []) as readonly unknown[];
  const near = place.node.kind === "scalar" ? suggest(place.node.text, candidates.map(String)) : undefined;
  return finding(WRONG_VALUE, place.node.span, message, { help: near ? [`did you mean \`${near}\`?`] : [] });
}

function wantsMap(error: ShapeError): boolean {
  return error.keyword === "type" && String(error.params.type).includes("object");
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

function title(error: ShapeError): string {
  return String(error.parentSchema?.title ?? "another value");
}

/** What stands there, for people. */
export function described(node: Node): string {
  if (node.kind === "scalar") return node.text === "" ? "an empty text" : `\`${short(node.text)}\``;
  const size = node.kind === "list" ? node.items.length : node.entries.length;
  return size === 0 ? `an empty ${node.kind}` : `a ${node.kind}`;
}
