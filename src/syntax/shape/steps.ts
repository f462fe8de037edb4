import type { Finding, FindingKind } from "../../diagnostics/finding.js";
import { finding } from "../../diagnostics/finding.js";
import { suggest } from "../../diagnostics/suggest.js";
import { withSteps } from "../examples.js";
import { type Entry, entry, type MapNode, type Node } from "../tree.js";
import { COMPANIONS, isVerb, NEEDED, VERBS, type VerbName } from "./verbs.js";

export const NO_VERB: FindingKind = {
  code: "shape/no-verb",
  severity: "error",
  summary: "A step has no verb: it does not say what is done.",
  why: "A step is one action of one kind; without a verb nothing is done.",
  bad: withSteps("  - note: The pump starts at once.\n    by: mate\n"),
  good: withSteps("  - set: { pump: on }\n    note: The pump starts at once.\n"),
};

export const TWO_VERBS: FindingKind = {
  code: "shape/two-verbs",
  severity: "error",
  summary: "A step has more than one verb.",
  why: "One action a step (ASD-STE100; DOE-STD-1029-92): of two verbs in one step no reader can tell which comes first.",
  bad: withSteps("  - set: { pump: on }\n    wait: 5 s\n"),
  good: withSteps("  - set: { pump: on }\n  - wait: 5 s\n"),
};

export const STRAY_KEY: FindingKind = {
  code: "shape/stray-key",
  severity: "error",
  summary: "A key stands in a step whose verb does nothing with it.",
  why: "What nothing reads is not printed and not proved, although its author meant something by it.",
  bad: withSteps("  - set: { pump: on }\n    within: 5 s\n"),
  good: withSteps(
    "  - set: { pump: on }\n  - wait-for: pump is on\n    within: 5 s\n    if-not: { set-aside: The pump does not run. }\n",
  ),
};

export const INCOMPLETE_STEP: FindingKind = {
  code: "shape/incomplete-step",
  severity: "error",
  summary: "A key that the step's verb cannot do without is missing.",
  why: "A check that does not say what to do when it fails leaves the crew alone at the worst moment.",
  bad: withSteps("  - check: pump is off\n  - set: { pump: on }\n"),
  good: withSteps(
    "  - check: pump is off\n    if-not: { set-aside: Somebody runs the pump already. }\n  - set: { pump: on }\n",
  ),
};

/** Every step of a procedure, wherever it stands: exactly one verb, the keys that go with it, and none that do not. */
export function checkSteps(root: MapNode): Finding[] {
  const findings: Finding[] = [];
  const parts = entry(root, "parts")?.value;
  if (parts?.kind === "map") for (const part of parts.entries) visit(part.value, findings);
  const steps = entry(root, "steps");
  if (steps) visit(steps.value, findings);
  return findings;
}

/** A list of steps, or one step. */
function visit(node: Node, findings: Finding[]): void {
  if (node.kind === "list") for (const item of node.items) visit(item, findings);
  if (node.kind !== "map") return;
  findings.push(...checkStep(node));
  for (const inside of node.entries) visitInside(inside, node, findings);
}

/** The steps that a key of a step holds. */
function visitInside({ key, value }: Entry, step: MapNode, findings: Finding[]): void {
  switch (key.text) {
    case "while":
    case "then":
    case "else":
    case "steps":
    case "repeat":
    case "memory":
      return visit(value, findings);
    case "if-not":
      return visitIfNot(value, step, findings);
    case "together":
      return visitValues(value, findings);
    case "decide":
    case "choose":
      if (value.kind === "list") for (const way of value.items) visitWay(way, findings);
  }
}

/** At `observe` a map without a verb is one of light to steps. */
function visitIfNot(value: Node, step: MapNode, findings: Finding[]): void {
  if (entry(step, "observe") && isKeyedByLight(value)) visitValues(value, findings);
  else visit(value, findings);
}

/** True of the `if-not` of an `observe` that says what to do for each light. */
export function isKeyedByLight(value: Node): value is MapNode {
  return value.kind === "map" && !value.entries.some(({ key }) => isVerb(key.text));
}

function visitValues(map: Node, findings: Finding[]): void {
  if (map.kind === "map") for (const { value } of map.entries) visit(value, findings);
}

function visitWay(way: Node, findings: Finding[]): void {
  if (way.kind !== "map") return;
  for (const { key, value } of way.entries) if (WAY_STEPS.has(key.text)) visit(value, findings);
}

const WAY_STEPS: ReadonlySet<string> = new Set(["then", "otherwise", "steps"]);

function checkStep(step: MapNode): Finding[] {
  const [first, ...others] = step.entries.filter(({ key }) => isVerb(key.text));
  if (!first) return noVerb(step);
  const verb = first.key.text as VerbName;
  if (others.length > 0) return [twoVerbs(first, others[0]!)];
  return [...stray(step, verb), ...incomplete(step, first, verb)];
}

/** None where a misspelt key is most likely the verb: that has a finding of its own. */
function noVerb(step: MapNode): Finding[] {
  const misspelt = step.entries.some(({ key }) => suggest(key.text, VERBS) !== undefined);
  if (misspelt) return [];
  const owner = step.entries.map(({ key }) => COMPANIONS.get(key.text)?.[0]).find((verb) => verb !== undefined);
  const help = owner
    ? `\`${step.entries.find(({ key }) => COMPANIONS.has(key.text))?.key.text}\` goes with \`${owner}\``
    : EXAMPLE;
  return [finding(NO_VERB, step.entries[0]?.key.span ?? step.span, "this step has no verb", { help: [help] })];
}

const EXAMPLE = "say what is done: `set`, `verify`, `check`, `observe`, `wait-for`, `do`, `say` ...";

function twoVerbs(first: Entry, second: Entry): Finding {
  const message = `this step has two verbs, \`${first.key.text}\` and \`${second.key.text}\``;
  return finding(TWO_VERBS, second.key.span, message, {
    labels: [{ at: first.key.span, text: "the first" }],
    help: [`begin a step of its own with \`- ${second.key.text}:\``],
  });
}

function stray(step: MapNode, verb: VerbName): Finding[] {
  const strays = step.entries.filter(
    ({ key }) => COMPANIONS.has(key.text) && !COMPANIONS.get(key.text)!.includes(verb),
  );
  return strays.map(({ key }) => {
    const owners = COMPANIONS.get(key.text)!.map((owner) => `\`${owner}\``);
    const message = `\`${key.text}\` does not go with \`${verb}\``;
    return finding(STRAY_KEY, key.span, message, { help: [`it goes with ${owners.join(", ")}`] });
  });
}

function incomplete(step: MapNode, verb: Entry, name: VerbName): Finding[] {
  const needed = [...(NEEDED.get(name) ?? []), ...(name === "wait-for" ? together(step) : [])];
  const missing = needed.filter((keys) => !keys.some((key) => entry(step, key)));
  return missing.map((keys) => {
    const wanted = keys.map((key) => `\`${key}\``).join(" or ");
    return finding(INCOMPLETE_STEP, verb.key.span, `\`${name}\` needs ${wanted}`, {
      help: [HELP.get(keys[0]!) ?? `add \`${keys[0]}:\``],
    });
  });
}

/** A `wait-for` that ends says what then, and one that says what then ends. */
function together(step: MapNode): readonly (readonly string[])[] {
  return entry(step, "within") || entry(step, "if-not") ? [["within"], ["if-not"]] : [];
}

const HELP: ReadonlyMap<string, string> = new Map([
  ["if-not", "say what then: `if-not: { set-aside: Call the chief engineer. }`"],
  ["lit", "list the lights that must be lit, or write `lit: none`"],
  ["within", "say for how long at most: `within: 30 s`"],
]);
