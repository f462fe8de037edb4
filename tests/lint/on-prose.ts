import type { Finding } from "../../src/diagnostics/finding.js";
import { placesIn } from "../../src/lint/places.js";
import type { Prose, ProseKey } from "../../src/lint/prose.js";
import type { LintRule } from "../../src/lint/rule.js";
import type { Procedure } from "../../src/program/procedure.js";

/** What the rule says of a text that stands under this key; the file holds the text and nothing else. */
export function onProse(rule: LintRule, under: ProseKey, text: string): readonly Finding[] {
  const at = { file: { path: "card.yaml", text }, start: 0, end: text.length };
  const prose: Prose = { under, text, at, after: 1 };
  return rule.prose?.(prose, { procedure: card(at), program: EMPTY, places: placesIn([]) }) ?? [];
}

/** The words under the carets. */
export function caretsOn(rule: LintRule, under: ProseKey, text: string): readonly string[] {
  return onProse(rule, under, text).map(({ at }) => at.file.text.slice(at.start, at.end));
}

function card(span: Procedure["span"]): Procedure {
  const lists = { readAs: [], omits: [], begins: [], ends: [], covers: [], steps: [], allows: [] };
  return { id: "card", system: "none", title: "Card", category: "normal", crew: new Map(), span, ...lists };
}

const EMPTY = {
  project: {
    title: "Test (fictional)",
    categories: [],
    stepTakes: 3000,
    severities: new Map(),
    cards: { paper: "A5", profile: "arm-length" },
  },
  systems: new Map(),
  rules: [],
  procedures: new Map(),
};
