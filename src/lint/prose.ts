import type { Procedure, Step, Words } from "../program/procedure.js";
import type { Span } from "../source/file.js";
import type { Places } from "./places.js";
import { everyStep } from "./walk.js";

/** The key that a text stands under; `words` is the plain form, `challenge` and `response` the split one. */
export type ProseKey =
  | "do"
  | "words"
  | "challenge"
  | "response"
  | "say"
  | "set-aside"
  | "finish"
  | "pause"
  | "sign"
  | "section"
  | "warning"
  | "caution"
  | "note"
  | "added"
  | "moved"
  | "because"
  | "title"
  | "use-when"
  | "summary";

/** A piece of text that somebody will read, with its place. */
export interface Prose {
  readonly under: ProseKey;
  readonly text: string;
  readonly at: Span;
  /** Absent for what is said of the whole card. */
  readonly step?: Step;
  /** How many lines of the same `say` go before it. */
  readonly after?: number;
}

/** Every text of a card, in written order of its steps. */
export function proseOf(procedure: Procedure, places: Places): readonly Prose[] {
  return [
    ...proseOfHead(procedure, places),
    ...everyStep(procedure.steps).flatMap((step) => proseOfStep(step, places)),
  ];
}

function proseOfHead(procedure: Procedure, places: Places): readonly Prose[] {
  const at = (key: string) => places.ofFile(procedure.span, key)?.value.span ?? procedure.span;
  const texts = [
    { under: "title", text: procedure.title },
    { under: "use-when", text: procedure.useWhen },
    { under: "summary", text: procedure.summary },
  ] as const;
  return texts.flatMap(({ under, text }) => (text === undefined ? [] : [{ under, text, at: at(under) }]));
}

function proseOfStep(step: Step, places: Places): readonly Prose[] {
  const at = (key: string) => places.under(step.span, key)?.span ?? step.verb;
  const texts = [
    ...(["warning", "caution", "note"] as const).map((under) => ({ under, text: step[under] })),
    textOfVerb(step),
    ...(["added", "moved", "because"] as const).map((under) => ({ under, text: step[under] })),
  ];
  const plain = texts.flatMap(({ under, text }) => (text === undefined ? [] : [{ under, text, at: at(under), step }]));
  return [...plain, ...spoken(step, at("say"), places), ...(step.words ? proseOfWords(step, step.words, places) : [])];
}

function textOfVerb(step: Step): { readonly under: ProseKey; readonly text: string | undefined } {
  switch (step.kind) {
    case "do":
    case "set-aside":
    case "finish":
    case "pause":
    case "sign":
      return { under: step.kind, text: step.text };
    case "section":
      return { under: "section", text: step.title };
    default:
      return { under: "do", text: undefined };
  }
}

function spoken(step: Step, say: Span, places: Places): readonly Prose[] {
  if (step.kind !== "say") return [];
  return step.lines.map((line, after) => {
    const at = (line.who && places.under(say, line.who)?.span) || say;
    return { under: "say", text: line.text, at, step, after };
  });
}

function proseOfWords(step: Step, words: Words, places: Places): readonly Prose[] {
  const at = places.under(step.span, "words")?.span ?? step.verb;
  if ("text" in words) return [{ under: "words", text: words.text, at, step }];
  return (["challenge", "response"] as const).map((under) => {
    return { under, text: words[under], at: places.under(at, under)?.span ?? at, step };
  });
}
