import type { Finding, FindingKind } from "../../diagnostics/finding.js";
import { finding } from "../../diagnostics/finding.js";
import { suggest } from "../../diagnostics/suggest.js";
import { SMALL_REPOSITORY, withCard, withFile, withSteps } from "../examples.js";
import type { ShapeError } from "../generated/validators.js";
import type { Node, ScalarNode } from "../tree.js";
import { listed, short } from "../words.js";
import type { Holes } from "../yaml/convert.js";
import type { Located } from "./plain.js";
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

/** A key that its map does not take for a name. */
export function badKey(error: ShapeError, place: Located, name: string): Finding {
  const at = keyOf(place, name)?.span ?? place.node.span;
  return finding(BAD_NAME, at, `\`${short(name)}\` is not ${title(error)}`, { help: mendedName(name, error) });
}

/** Offers the name mended, only where the schema would take it. */
export function mendedName(name: string, error: ShapeError): string[] {
  const pattern = error.parentSchema?.pattern;
  const mended = name
    .trim()
    .toLowerCase()
    .replace(/[\s_]+/g, "-");
  const fits = typeof pattern === "string" && new RegExp(pattern).test(mended);
  return fits ? [`write \`${mended}\``] : [];
}

/** A key that a map must have; none where it stands there without a value. */
export function missingKey(key: string, what: string, place: Located, holes: Holes): Finding | undefined {
  if (place.node.kind !== "map") return undefined;
  if (holes.get(place.node)?.some((hole) => hole.text === key)) return undefined;
  return finding(MISSING_KEY, anchor(place), `\`${key}\` is missing from ${what}`, { help: [`add \`${key}:\``] });
}

/** Where a finding about a whole map puts its caret: the key that holds it, else its own first key. */
function anchor(place: Located) {
  const first = place.node.kind === "map" ? place.node.entries[0]?.key.span : undefined;
  return place.entry?.key.span ?? first ?? place.node.span;
}

/** A key that its map does not know. */
export function unknownKey(key: string, error: ShapeError, place: Located): Finding {
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

/** What the schema calls what it wants. */
export function title(error: ShapeError): string {
  return String(error.parentSchema?.title ?? "another value");
}
