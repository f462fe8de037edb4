import type { Finding, FindingKind } from "../../diagnostics/finding.js";
import { finding } from "../../diagnostics/finding.js";
import { type Span, spanning } from "../../source/file.js";
import { SMALL_REPOSITORY, withFile, withSteps } from "../examples.js";
import { firstOf } from "../limits.js";
import type { MapNode, Node, ScalarNode } from "../tree.js";
import { short } from "../words.js";
import type { Converted, NoColon, Oddity } from "./convert.js";
import { inQuotes, lineEnd, onOneLine } from "./rest.js";

export const EMPTY_VALUE: FindingKind = {
  code: "yaml/empty-value",
  severity: "error",
  summary: "A key, or a dash of a list, has nothing after it.",
  why: "Nothing is not a value of this language: it cannot be told from a value that was lost.",
  bad: withSteps("  - set: { pump: on }\n    note:\n"),
  good: withSteps("  - set: { pump: on }\n    note: It hums.\n"),
};

export const NO_COLON: FindingKind = {
  code: "yaml/no-colon",
  severity: "error",
  summary: "A key is not followed by a colon and a space.",
  why: "`to:on` is one word to YAML, and says nothing.",
  bad: withSteps("  - set: { pump:on }\n"),
  good: withSteps("  - set: { pump: on }\n"),
};

export const COMMA_ENDS_TEXT: FindingKind = {
  code: "yaml/comma-ends-text",
  severity: "error",
  summary: "A comma inside { } ends the text before it: the rest is taken for a key.",
  why: "`{ set-aside: Stop, call the chief. }` prints `Stop`, and nobody is called.",
  bad: withSteps("  - check: pump is on\n    if-not: { set-aside: Stop, call the chief. }\n"),
  good: withSteps('  - check: pump is on\n    if-not: { set-aside: "Stop, call the chief." }\n'),
};

export const DUPLICATE_KEY: FindingKind = {
  code: "yaml/duplicate-key",
  severity: "error",
  summary: "A key stands twice in one map.",
  why: "Of two values only one can be meant, and the reader cannot tell which.",
  bad: withSteps("  - set: { pump: on }\n    note: It hums.\n    note: It is hot.\n"),
  good: withSteps("  - set: { pump: on }\n    note: It hums, and it is hot.\n"),
};

export const MERGE_KEY: FindingKind = {
  code: "yaml/merge-key",
  severity: "error",
  summary: "`<<` merges another map into this one in some YAML; here it does not.",
  why: "What a merged map holds cannot be seen where it stands.",
  bad: withFile("rig.yaml", SMALL_REPOSITORY["rig.yaml"]!.replace("pump: { ", "pump: { <<: { safety: true }, ")),
  good: withFile("rig.yaml", SMALL_REPOSITORY["rig.yaml"]!.replace("pump: { ", "pump: { safety: true, ")),
};

export const BAD_KEY: FindingKind = {
  code: "yaml/key",
  severity: "error",
  summary: "A key is not a word: it is empty, a list or map, or marked with `?`.",
  why: "Every key of this language is a word or a name.",
  bad: withSteps("  - ? set\n    : { pump: on }\n"),
  good: withSteps("  - set: { pump: on }\n"),
};

/** What the tree shows against the profile: values that are not there, keys that stand twice or are no words. */
export function checkContent(converted: Converted): Finding[] {
  const findings = converted.root ? firstOf(inTree(converted.root)) : [];
  return [...firstOf(converted.oddities).map(sayOdd), ...findings];
}

/** A word with a colon but no space after it (`key:value`, `key :value`), which YAML sees as one; undefined for any other word. */
export function gluedColon(word: ScalarNode): Finding | undefined {
  const line = firstLine(word);
  const [, key, value] = GLUED.exec(onOneLine(line)) ?? [];
  if (word.style !== "plain" || key === undefined || value === undefined) return undefined;
  const mended = `${key}: ${value}`;
  return finding(NO_COLON, line, `no space stands after the colon of \`${short(key)}\`, so YAML sees one word`, {
    help: [`write \`${mended}\``],
    edits: [{ at: line, text: mended }],
  });
}

const GLUED = /^([A-Za-z][A-Za-z0-9.-]*) ?:([^\s:].*)$/;

/** A line that should be a key with its value. */
export function noColonIn(word: ScalarNode): Finding {
  const line = firstLine(word);
  return (
    gluedColon(word) ??
    finding(NO_COLON, line, `\`${onOneLine(line)}\` has no colon and no value`, {
      help: ["a key and its value are `key: value`"],
    })
  );
}

function sayOdd(odd: Oddity): Finding {
  switch (odd.kind) {
    case "explicit-key":
      return finding(BAD_KEY, odd.at, "a key is marked with `?` here", { help: ["write it as `key: value`"] });
    case "complex-key":
      return finding(BAD_KEY, odd.at, "a list or map stands where a key belongs", {
        help: ["a key is a word: `key: value`"],
      });
    case "empty-key":
      return finding(BAD_KEY, odd.at, "nothing stands before this colon", {
        help: ["write the key, or delete the colon"],
      });
    case "empty-item":
      return finding(EMPTY_VALUE, odd.at, "nothing stands after this dash", {
        help: ["write the item, or delete the dash"],
      });
    case "empty-value":
      return finding(EMPTY_VALUE, odd.at, `\`${short(odd.key.text)}\` has no value`, {
        help: ["write its value, or leave the key out"],
      });
    case "no-colon":
      return noColon(odd);
  }
}

function noColon({ key, last, flow, before }: NoColon): Finding {
  if (!flow || gluedColon(key) || before?.value.kind !== "scalar") return noColonIn(key);
  return commaEndsText(before.value, onOneLine(spanning(key.span, last.span)), last);
}

function commaEndsText(value: ScalarNode, left: string, last: ScalarNode): Finding {
  const at = spanning(value.span, last.span);
  const { words, edits } = inQuotes(at, value.style === "plain" ? onOneLine(at) : `${value.text}, ${left}`);
  const message = `a comma ends the text: \`${onOneLine(value.span)}\` is the value, \`${left}\` is left over`;
  return finding(COMMA_ENDS_TEXT, at, message, { help: [words], edits });
}

/** A key that goes on over several lines is one whose colon is missing: the first line is the place. */
function firstLine({ span }: ScalarNode): Span {
  return { ...span, end: Math.min(span.end, lineEnd(span.file.text, span.start)) };
}

function* inTree(node: Node): Generator<Finding> {
  switch (node.kind) {
    case "scalar":
      return;
    case "list":
      for (const item of node.items) yield* nothingMeant(item);
      for (const item of node.items) yield* inTree(item);
      return;
    case "map":
      yield* oddKeys(node);
      for (const { value } of node.entries) yield* nothingMeant(value);
      for (const { value } of node.entries) yield* inTree(value);
  }
}

function* oddKeys(map: MapNode): Generator<Finding> {
  const first = new Map<string, ScalarNode>();
  for (const { key } of map.entries) {
    const earlier = first.get(key.text);
    if (earlier) yield duplicate(key, earlier);
    else if (key.text !== "" || key.style !== "plain") first.set(key.text, key);
    if (key.text === "<<" && key.style === "plain") {
      const help = ["write the keys out"];
      yield finding(MERGE_KEY, key.span, "`<<` is a merge key to some YAML; this language has none", { help });
    }
  }
}

function duplicate(key: ScalarNode, earlier: ScalarNode): Finding {
  return finding(DUPLICATE_KEY, key.span, `\`${onOneLine(key.span)}\` stands here a second time`, {
    labels: [{ at: earlier.span, text: "the first time" }],
    help: ["keep one of them"],
  });
}

const NULLS: ReadonlySet<string> = new Set(["~", "null", "Null", "NULL"]);

function* nothingMeant(node: Node): Generator<Finding> {
  if (node.kind !== "scalar" || node.style !== "plain" || !NULLS.has(node.text)) return;
  const help = ["leave the key out, or put the word in quotes if it is a text"];
  yield finding(EMPTY_VALUE, node.span, `\`${node.text}\` means nothing at all to YAML`, { help });
}
