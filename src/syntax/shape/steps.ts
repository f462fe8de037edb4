import type { Finding, FindingKind } from "../../diagnostics/finding.js";
import { finding } from "../../diagnostics/finding.js";
import { withSteps } from "../examples.js";
import { type Entry, entry, type MapNode } from "../tree.js";
import type { Holes } from "../yaml/convert.js";
import { isNoKey } from "./plain.js";
import { COMPANIONS, isStepKey, isVerb, NEEDED, STEP_HELP, type VerbName } from "./verbs.js";
import { stepsIn } from "./walk.js";

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
  good: withSteps("  - set: { pump: on }\n    takes: 5 s\n"),
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
export function* checkSteps(root: MapNode, holes: Holes): Generator<Finding> {
  for (const step of stepsIn(root)) if (!holes.has(step)) yield* checkStep(step);
}

function checkStep(step: MapNode): Finding[] {
  const verbs = step.entries.filter(({ key }) => isVerb(key.text));
  const first = verbs[0];
  if (!first) return noVerb(step);
  const verb = first.key.text as VerbName;
  const second = verbs.find(({ key }) => key.text !== verb);
  if (second) return [twoVerbs(first, second)];
  return [...stray(step, verb), ...incomplete(step, first, verb)];
}

/** None where another finding says why: a key is none, or unknown and so perhaps the verb. */
function noVerb(step: MapNode): Finding[] {
  if (step.entries.some(({ key }) => isNoKey(key.text) || !isStepKey(key.text))) return [];
  const companion = step.entries.find(({ key }) => COMPANIONS.has(key.text))?.key;
  const owner = companion && COMPANIONS.get(companion.text)![0];
  const help = companion ? `\`${companion.text}\` goes with \`${owner}\`` : STEP_HELP;
  return [finding(NO_VERB, step.entries[0]?.key.span ?? step.span, "this step has no verb", { help: [help] })];
}

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
