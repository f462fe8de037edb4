import type { ErrorCode, YAMLError } from "yaml";
import type { Finding, FindingKind } from "../../diagnostics/finding.js";
import { finding } from "../../diagnostics/finding.js";
import type { SourceFile, Span } from "../../source/file.js";
import { withSteps } from "../examples.js";
import { firstOf } from "../limits.js";
import { noColonIn } from "./content.js";
import type { Lexeme } from "./lexemes.js";
import { lineEnd } from "./rest.js";
import { scan } from "./scan.js";

export const YAML_SYNTAX: FindingKind = {
  code: "yaml/syntax",
  severity: "error",
  summary: "The file cannot be taken apart at this place.",
  why: "What cannot be taken apart cannot be checked. Mostly it is a line that does not stand in line, or text that needs quotes.",
  bad: withSteps('  - set: { pump: on }\n    note: "It hums" says the mate.\n'),
  good: withSteps("  - set: { pump: on }\n    note: '\"It hums\" says the mate.'\n"),
};

/** YAML's own errors in our words: the first only, as the rest follow from it, and none that comes after what `explained` says. */
export function inOurWords(file: SourceFile, errors: readonly YAMLError[], explained: readonly Finding[]): Finding[] {
  const first = errors.reduce<YAMLError | undefined>(
    (least, error) => (least && least.pos[0] <= error.pos[0] ? least : error),
    undefined,
  );
  if (!first) return [];
  const at = place(file, first);
  if (explained.some((other) => beginningOf(other) <= lineEnd(file.text, at.start))) return [];
  if (first.code === "MULTILINE_IMPLICIT_KEY")
    return [noColonIn({ kind: "scalar", text: "", style: "plain", span: at })];
  const [message, help] = words(file, first);
  return [finding(YAML_SYNTAX, at, message, { help: [help] })];
}

/** `key: - item`: a list that begins on the line of its key, which YAML drops. */
export function checkListPlace(file: SourceFile, tokens: readonly Lexeme[]): Finding[] {
  return firstOf(dashesAfterKeys(tokens)).map(({ offset }) =>
    finding(YAML_SYNTAX, { file, start: offset, end: offset + 1 }, "a list begins on the line of its key", {
      help: ["begin it on the next line; if it is text, put it in quotes"],
    }),
  );
}

function* dashesAfterKeys(tokens: readonly Lexeme[]): Generator<Lexeme> {
  for (const { token, before } of scan(tokens)) {
    if (token.type === "seq-item-ind" && before?.type === "map-value-ind") yield token;
  }
}

/** What a finding would change may begin before what it points at. */
function beginningOf(found: Finding): number {
  return Math.min(found.at.start, ...(found.edits ?? []).map((edit) => edit.at.start));
}

/** From the first letter at the error to the end of what it is about, never beyond its line and never nothing. */
function place(file: SourceFile, { pos }: YAMLError): Span {
  const spaces = /^ */.exec(file.text.slice(pos[0], lineEnd(file.text, pos[0])))![0].length;
  const start = Math.min(pos[0] + spaces, Math.max(0, file.text.length - 1));
  const end = Math.min(Math.max(pos[1], start + 1), Math.max(lineEnd(file.text, start), start + 1));
  return { file, start, end };
}

type Words = readonly [message: string, help: string];

function words(file: SourceFile, error: YAMLError): Words {
  return (
    BY_MESSAGE.find(([shape]) => shape.test(error.message))?.[1] ??
    afterClosing(file, error) ??
    BY_CODE.get(error.code) ??
    OTHER
  );
}

/** Text that goes on after a quote or bracket that closed it. */
function afterClosing(file: SourceFile, error: YAMLError): Words | undefined {
  if (error.code !== "UNEXPECTED_TOKEN") return undefined;
  const before = file.text
    .slice(Math.max(0, error.pos[0] - 100), error.pos[0])
    .trimEnd()
    .at(-1);
  if (before === '"' || before === "'") {
    return [
      "text goes on after its closing quote",
      "put all of it in quotes, the inner ones in those of the other kind",
    ];
  }
  if (before === "}" || before === "]") {
    return [
      `something stands after the closing \`${before}\``,
      "if all of it is text, put it in quotes; else begin a new line",
    ];
  }
  if (before === "|" || before === ">") return BLOCK_MARK;
  return undefined;
}

const BLOCK_MARK: Words = [
  "`|` or `>` at the beginning of a value announces text on the lines below",
  "begin the text on the next line, or put it in quotes",
];

const INDENT: Words = [
  "this line does not stand in line with those above it",
  "give keys of one map, and dashes of one list, the same column",
];

/** Where one code of the library stands for several things, its message tells them apart. */
const BY_MESSAGE: readonly (readonly [RegExp, Words])[] = [
  [/^Sequence item without|^A block sequence may not/, INDENT],
  [
    /^Unexpected (,|empty item)/,
    ["a comma stands here with nothing before it", "delete it, or put the text that it belongs to in quotes"],
  ],
  [/^Block scalar header/, BLOCK_MARK],
];

const OTHER: Words = [
  "this cannot be read here",
  "if it is text, put all of it in quotes; else see that the line stands where it belongs",
];

const BY_CODE: ReadonlyMap<ErrorCode, Words> = new Map<ErrorCode, Words>([
  ["BAD_INDENT", INDENT],
  ["TAB_AS_INDENT", INDENT],
  ["IMPOSSIBLE", INDENT],
  [
    "BAD_DQ_ESCAPE",
    [
      "a backslash in double quotes stands before a letter that it means nothing with",
      "write it twice, or use single quotes",
    ],
  ],
  ["BAD_SCALAR_START", ["unquoted text cannot begin with this mark", "put the text in quotes"]],
  ["BLOCK_AS_IMPLICIT_KEY", ["a list or map begins on the line of its key", "begin it on the next line, further in"]],
  [
    "BLOCK_IN_FLOW",
    [
      "lines with dashes or keys of their own stand inside { } or [ ]",
      "write all of it with brackets, or all of it in lines",
    ],
  ],
  ["KEY_OVER_1024_CHARS", ["this key is too long", "a key is a word, with a colon and a space after it"]],
  [
    "MISSING_CHAR",
    ["a comma, a colon or a space is missing here", "inside { } write `key: value, key: value`; put text in quotes"],
  ],
]);
