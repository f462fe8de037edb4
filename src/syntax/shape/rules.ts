import type { Finding, FindingKind } from "../../diagnostics/finding.js";
import { finding } from "../../diagnostics/finding.js";
import { withFile } from "../examples.js";
import { type Entry, entry, type MapNode } from "../tree.js";
import type { Holes } from "../yaml/convert.js";

function rules(rule: string): Readonly<Record<string, string>> {
  return withFile("rules.yaml", `kind: rules\nrules:\n  - { id: pump-rests, ${rule} }\n`);
}

export const RULE_FORM: FindingKind = {
  code: "shape/rule-form",
  severity: "error",
  summary: "A rule has no form, two forms, or half of one.",
  why: "Each form has one meaning, after Dwyer, Avrunin and Corbett, Patterns in property specifications (ICSE 1999); a mixture has none.",
  bad: rules("require: pump is on"),
  good: rules("never: pump is on and pump is off"),
};

/** What begins each form, and what it goes on with. */
const HEADS = ["never", "always", "require", "at-most"] as const;
const AFTER = ["after", "no-later-than", "within"] as const;
const CONTINUES: ReadonlyMap<string, (typeof HEADS)[number]> = new Map<string, (typeof HEADS)[number]>([
  ["when", "require"],
  ["while", "require"],
  ["before", "require"],
  ["after", "require"],
  ["no-later-than", "require"],
  ["within", "require"],
  ["times", "at-most"],
]);

/** Every rule of a file: exactly one form, whole. */
export function* checkRules(root: MapNode, holes: Holes): Generator<Finding> {
  const list = entry(root, "rules")?.value;
  if (list?.kind !== "list") return;
  for (const rule of list.items) if (rule.kind === "map" && !holes.has(rule)) yield* checkRule(rule);
}

function checkRule(rule: MapNode): Finding[] {
  const heads = rule.entries.filter(({ key }) => (HEADS as readonly string[]).includes(key.text));
  const [head, second] = heads;
  if (!head) return [noForm(rule)];
  if (second) return [twoForms(head, second)];
  const stray = rule.entries.filter(({ key }) => CONTINUES.has(key.text) && CONTINUES.get(key.text) !== head.key.text);
  if (stray.length > 0) return stray.map((other) => doesNotGo(head, other));
  if (head.key.text === "at-most" && !entry(rule, "times")) return [half(head, "`times`: what is counted")];
  return head.key.text === "require" ? checkRequire(rule, head) : [];
}

function checkRequire(rule: MapNode, head: Entry): Finding[] {
  const simple = rule.entries.filter(({ key }) => ["when", "while", "before"].includes(key.text));
  const response = rule.entries.filter(({ key }) => (AFTER as readonly string[]).includes(key.text));
  const ways = [...simple, ...response.slice(0, 1)];
  if (ways.length > 1) return [twoForms(ways[0]!, ways[1]!)];
  if (ways.length === 0) return [half(head, "`when`, `while`, `before` or `after`: the occasion")];
  if (response.length === 0 || entry(rule, "no-later-than")) return [];
  if (!entry(rule, "within")) return [half(response[0]!, "`no-later-than` (a condition, or `end`) or `within`")];
  return entry(rule, "after") ? [] : [half(response[0]!, "`after`: from when the time counts")];
}

function noForm(rule: MapNode): Finding {
  const at = entry(rule, "id")?.value.span ?? rule.span;
  return finding(RULE_FORM, at, "this rule requires nothing", {
    help: ["write `never`, `always`, `require` with its occasion, or `at-most` with `times`"],
  });
}

function twoForms(first: Entry, second: Entry): Finding {
  return finding(
    RULE_FORM,
    second.key.span,
    `\`${first.key.text}\` and \`${second.key.text}\` do not go together in one rule`,
    {
      labels: [{ at: first.key.span, text: "the first" }],
      help: ["make two rules of it"],
    },
  );
}

function doesNotGo(head: Entry, other: Entry): Finding {
  const owner = CONTINUES.get(other.key.text)!;
  return finding(RULE_FORM, other.key.span, `\`${other.key.text}\` does not go with \`${head.key.text}\``, {
    labels: [{ at: head.key.span, text: "the form of this rule" }],
    help: [`it goes with \`${owner}\``],
  });
}

function half(key: Entry, wanted: string): Finding {
  return finding(RULE_FORM, key.key.span, `\`${key.key.text}\` alone is half a rule`, { help: [`add ${wanted}`] });
}
