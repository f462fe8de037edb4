import { type Finding, type FindingKind, finding } from "../../diagnostics/finding.js";
import { suggest } from "../../diagnostics/suggest.js";
import type { Span } from "../../source/file.js";
import { example } from "../example.js";

export const NAME_UNKNOWN: FindingKind = {
  code: "name/unknown",
  severity: "error",
  summary: "A name that nothing in the project has.",
  why: "A line about a thing that is not there can be neither proved nor done. A slip of the pen is offered back only where one name alone is near.",
  bad: example({ steps: "- set: { pmup: on }" }),
  good: example({ steps: "- set: { pump: on }" }),
};

export const NAME_TWICE: FindingKind = {
  code: "name/twice",
  severity: "error",
  summary: "Two things have one name.",
  why: "Every line that uses the name would have two readings. All things of a system share one list of names, and so do the steps of a procedure.",
  bad: example({ steps: "- set: { pump: on }\n  id: first\n- set: { valve: open }\n  id: first" }),
  good: example({ steps: "- set: { pump: on }\n  id: first\n- set: { valve: open }\n  id: second" }),
};

export const NAME_RESERVED: FindingKind = {
  code: "name/reserved",
  severity: "error",
  summary: "A name that is a word of the language.",
  why: "In a condition the word would be read as the language's own, not as the name.",
  bad: example({ controls: "done: { label: DONE, positions: [rest, pressed], springs: { pressed: rest } }" }),
  good: example({ controls: "ready-button: { label: DONE, positions: [rest, pressed], springs: { pressed: rest } }" }),
};

export const NAME_WRONG_KIND: FindingKind = {
  code: "name/wrong-kind",
  severity: "error",
  summary: "A thing is named where one of another kind is needed.",
  why: "A switch is set, a gauge is read, a light is looked at: a line that asks of a thing what it cannot do has no meaning.",
  bad: example({ steps: "- record: pump" }),
  good: example({
    system: "gauges:\n  level: { label: LEVEL, unit: cm, range: 0 to 80 }",
    steps: "- record: level",
  }),
};

export const NAME_WHICH_SIDE: FindingKind = {
  code: "name/which-side",
  severity: "error",
  summary: "Several things are named where one is needed, or where it must be said whether all or any are meant.",
  why: "`valve is open` with two valves has two readings, and a card that can be read in two ways will be.",
  bad: example({
    rules: "- { id: valves-first, require: valve is open, when: pump is on }",
    steps: "- set: { valve: open }\n- set: { pump: on }",
    procedure: "begins: [pump is off]",
  }),
  good: example({
    rules: "- { id: valves-first, require: all valve is open, when: pump is on }",
    steps: "- set: { valve: open }\n- set: { pump: on }",
    procedure: "begins: [pump is off]",
  }),
};

export const NAME_NO_SIDE: FindingKind = {
  code: "name/no-side",
  severity: "error",
  summary: "A side is named that the thing does not have, or `.side` is said where there is no side.",
  why: "`.side` means the side of the thing, the rule or the copy of the step it stands in. Elsewhere it means nothing.",
  bad: example({ steps: "- set: { pump.port: on }" }),
  good: example({ steps: "- set: { valve.port: open }" }),
};

/** A name that is not among `candidates`; `what` says what was looked for, so that "write" and "is not" go before it: "the name of a control". */
export function unknownName(name: string, at: Span, what: string, candidates: Iterable<string>): Finding {
  const known = [...new Set(candidates)];
  const near = suggest(name, known);
  return finding(NAME_UNKNOWN, at, `\`${name}\` is not ${what}`, {
    ...(near === undefined ? {} : { remark: `did you mean \`${near}\`?`, edits: [{ at, text: near }] }),
    help: [near === undefined ? declared(what, known) : `write \`${near}\``],
    subject: { thing: name },
  });
}

export function twice(name: string, at: Span, first: Span, what: string): Finding {
  return finding(NAME_TWICE, at, `\`${name}\` is already the name of ${what}`, {
    labels: [{ at: first, text: "declared here first" }],
    help: ["give one of the two another name"],
    subject: { thing: name },
  });
}

export function reserved(name: string, at: Span): Finding {
  return finding(NAME_RESERVED, at, `\`${name}\` is a word of the language and cannot be a name`, {
    help: [`choose a longer name, such as \`${name}-button\``],
    subject: { thing: name },
  });
}

export function wrongKind(name: string, at: Span, message: string, help: string): Finding {
  return finding(NAME_WRONG_KIND, at, message, { help: [help], subject: { thing: name } });
}

export function whichSide(name: string, at: Span, message: string, help: readonly string[]): Finding {
  return finding(NAME_WHICH_SIDE, at, message, { help, subject: { thing: name } });
}

export function noSide(name: string, at: Span, message: string, help: string): Finding {
  return finding(NAME_NO_SIDE, at, message, { help: [help], subject: { thing: name } });
}

/** A few names are listed; of many the reader is told what to look for. */
function declared(what: string, known: readonly string[]): string {
  if (known.length === 0) return `there is none yet: declare it, or write ${what}`;
  return known.length <= FEW ? `there is ${known.map((each) => `\`${each}\``).join(", ")}` : `write ${what}`;
}

const FEW = 6;
