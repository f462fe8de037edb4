import type { Finding, FindingKind } from "../../diagnostics/finding.js";
import { finding } from "../../diagnostics/finding.js";
import type { SourceFile, Span } from "../../source/file.js";
import { SMALL_REPOSITORY, withCard, withFile, withSteps } from "../examples.js";
import { firstOf } from "../limits.js";
import { DEEPEST, type Lexeme, tooDeep } from "./lexemes.js";
import { inQuotes, meantText, onOneLine } from "./rest.js";
import { type Seen, scan } from "./scan.js";

export const NESTED_TOO_DEEP: FindingKind = {
  code: "yaml/too-deep",
  severity: "error",
  summary: "Lists and maps are nested deeper than a procedure can be.",
  why: "No reader can follow it, and it would stop the program.",
  bad: withFile("start.yaml", `kind: procedure\nsteps: ${"[".repeat(200)}${"]".repeat(200)}\n`),
  good: SMALL_REPOSITORY,
};

export const ANCHOR: FindingKind = {
  code: "yaml/anchor",
  severity: "error",
  summary: "A word that begins with `&` is an anchor to YAML.",
  why: "A value that is repeated from another place cannot be reviewed where it stands, and text after an `&` is lost.",
  bad: withSteps("  - set: { pump: on }\n    note: &both Both levers move.\n"),
  good: withSteps("  - set: { pump: on }\n    note: Both levers move.\n"),
};

export const ALIAS: FindingKind = {
  code: "yaml/alias",
  severity: "error",
  summary: "A word that begins with `*` is an alias to YAML.",
  why: "A value that is taken from another place cannot be reviewed where it stands; a few lines of aliases can stand for billions of values.",
  bad: withSteps("  - set: { pump: on }\n    note: *important*\n"),
  good: withSteps('  - set: { pump: on }\n    note: "*important*"\n'),
};

export const TAG: FindingKind = {
  code: "yaml/tag",
  severity: "error",
  summary: "A word that begins with `!` is a tag to YAML.",
  why: "A tag changes what a value is, unseen by most readers; text after a `!` is lost.",
  bad: withSteps("  - set: { pump: on }\n    note: !Mind the belt.\n"),
  good: withSteps('  - set: { pump: on }\n    note: "!Mind the belt."\n'),
};

export const DIRECTIVE: FindingKind = {
  code: "yaml/directive",
  severity: "error",
  summary: "A line that begins with `%` is a directive to YAML.",
  why: "A directive changes how the rest of the file is read.",
  bad: withCard(`%YAML 1.1\n---\n${SMALL_REPOSITORY["start.yaml"]}`),
  good: SMALL_REPOSITORY,
};

export const SECOND_DOCUMENT: FindingKind = {
  code: "yaml/second-document",
  severity: "error",
  summary: "A line of `---` or `...` begins a second document in the file.",
  why: "One file is one thing, found by its name; what stands after the line would not be read.",
  bad: withCard(`${SMALL_REPOSITORY["start.yaml"]}---\nkind: procedure\n`),
  good: SMALL_REPOSITORY,
};

export const TAB: FindingKind = {
  code: "yaml/tab",
  severity: "error",
  summary: "A tab stands where spaces belong.",
  why: "How far a tab reaches depends on the editor, so two readers see two structures.",
  bad: withSteps("  - set: { pump: on }\t# at once\n"),
  good: withSteps("  - set: { pump: on }  # at once\n"),
};

/** Asked first: nothing that works by recursion may see the tokens if there is a finding. */
export function checkDepth(file: SourceFile, tokens: readonly Lexeme[]): Finding[] {
  const deep = tooDeep(tokens);
  if (!deep) return [];
  const message = `more than ${DEEPEST} lists and maps stand inside each other`;
  return [finding(NESTED_TOO_DEEP, spanOf(file, deep), message, { help: ["name inner steps as `parts`"] })];
}

/** What the tokens alone show against the profile: what YAML has and this language has not. */
export function checkLexemes(file: SourceFile, tokens: readonly Lexeme[]): Finding[] {
  return [...firstOf(refusals(file, tokens)), ...secondDocument(file, tokens), ...tabs(file, tokens)];
}

function* refusals(file: SourceFile, tokens: readonly Lexeme[]): Generator<Finding> {
  for (const seen of scan(tokens)) {
    const refused = REFUSED.get(seen.token.type);
    if (refused) yield refused(file, seen);
  }
}

/** The tokens up to where a second document begins. */
export function firstDocument(tokens: readonly Lexeme[]): readonly Lexeme[] {
  const end = secondStart(tokens);
  return end < 0 ? tokens : tokens.slice(0, end);
}

type Refusal = (file: SourceFile, seen: Seen) => Finding;

const REFUSED: ReadonlyMap<string, Refusal> = new Map<string, Refusal>([
  ["anchor", (file, seen) => startsWithMark(ANCHOR, "an anchor, which names a value for use elsewhere", file, seen)],
  ["alias", (file, seen) => startsWithMark(ALIAS, "an alias, which stands for a value from elsewhere", file, seen)],
  ["tag", (file, seen) => startsWithMark(TAG, "a tag, which changes what a value is", file, seen)],
  ["directive-line", (file, seen) => directive(file, seen)],
]);

function startsWithMark(kind: FindingKind, what: string, file: SourceFile, { token, inBrackets }: Seen): Finding {
  const { words, edits } = inQuotes(meantText(file, token.offset, inBrackets));
  const at = spanOf(file, token);
  return finding(kind, at, `\`${onOneLine(at)}\` is ${what}; this language has none`, {
    help: [`if it is text, ${words}`],
    edits,
  });
}

function directive(file: SourceFile, seen: Seen): Finding {
  const at = spanOf(file, seen.token);
  return finding(DIRECTIVE, at, `\`${onOneLine(at)}\` is a directive to YAML; this language has none`, {
    help: ["delete the line"],
  });
}

function secondDocument(file: SourceFile, tokens: readonly Lexeme[]): Finding[] {
  const start = tokens[secondStart(tokens)];
  if (!start) return [];
  return [
    finding(SECOND_DOCUMENT, spanOf(file, start), "a second document begins here; a file holds one", {
      help: ["move what follows to a file of its own, or delete the line"],
    }),
  ];
}

/** The index of the token from which on nothing belongs to the first document; -1 without a second. */
function secondStart(tokens: readonly Lexeme[]): number {
  let written = false;
  let ended = false;
  return tokens.findIndex((token) => {
    if (token.type === "doc-start" && written) return true;
    if (token.type === "doc-end") ended = true;
    else if (!UNWRITTEN.has(token.type)) {
      if (ended) return true;
      written = true;
    }
    return false;
  });
}

const UNWRITTEN: ReadonlySet<string> = new Set([
  "mark",
  "space",
  "newline",
  "comment",
  "doc-mode",
  "byte-order-mark",
  "directive-line",
]);

function tabs(file: SourceFile, tokens: readonly Lexeme[]): Finding[] {
  const tabbed = tokens.filter((token) => token.source.includes("\t") && !QUOTED.has(token.type));
  const first = tabbed[0];
  if (!first) return [];
  const start = first.offset + first.source.indexOf("\t");
  const others = tabbed.length > 1 ? `, the first of ${tabbed.length}` : "";
  return [
    finding(TAB, { file, start, end: start + 1 }, `a tab stands here${others}`, {
      help: ["replace it by spaces; two for each level are usual"],
    }),
  ];
}

const QUOTED: ReadonlySet<string> = new Set(["single-quoted-scalar", "double-quoted-scalar"]);

function spanOf(file: SourceFile, token: Lexeme): Span {
  return { file, start: token.offset, end: token.offset + token.source.trimEnd().length };
}
