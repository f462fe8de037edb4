import type { Finding, FindingKind, Outcome } from "../diagnostics/finding.js";
import { finding } from "../diagnostics/finding.js";
import { decode, LARGEST_FILE } from "../source/decode.js";
import type { SourceFile, Span } from "../source/file.js";
import { SMALL_REPOSITORY, withFile } from "./examples.js";

export const TOO_LARGE: FindingKind = {
  code: "file/too-large",
  severity: "error",
  summary: "The file is larger than a source file can be.",
  why: "A file of this size was not written by a person line by line, and cannot be reviewed like one.",
  bad: withFile("notes.yaml", `# ${"-".repeat(LARGEST_FILE)}\n`),
  good: SMALL_REPOSITORY,
};

export const NOT_UTF8: FindingKind = {
  code: "file/not-utf8",
  severity: "error",
  summary: "The file is not UTF-8 text, or a letter in it was lost on the way.",
  why: "In another encoding a degree sign or an accented letter comes out on the card as something else.",
  bad: withFile("start.yaml", SMALL_REPOSITORY["start.yaml"]!.replace("Start the rig", "Start the rig at 5 \uFFFDC")),
  good: withFile("start.yaml", SMALL_REPOSITORY["start.yaml"]!.replace("Start the rig", "Start the rig at 5 °C")),
};

export const EMPTY: FindingKind = {
  code: "file/empty",
  severity: "error",
  summary: "There is nothing in the file but space and comments.",
  why: "An empty file among the sources is a procedure that somebody believes to be there.",
  bad: withFile("stop.yaml", "# to be written\n"),
  good: SMALL_REPOSITORY,
};

export const CONTROL_CHARACTER: FindingKind = {
  code: "file/control-character",
  severity: "error",
  summary: "The file holds a character that cannot be seen and changes what is seen.",
  why:
    "A reviewer trusts what the screen shows. Characters that end a line unseen, or turn the direction of writing, show " +
    "one text and mean another (Unicode Technical Report 36, Unicode Security Considerations).",
  bad: withFile("start.yaml", SMALL_REPOSITORY["start.yaml"]!.replace("Start the rig", "Start the rig\u0000")),
  good: SMALL_REPOSITORY,
};

/** Bytes to a source file. Without a value where the bytes are not a text of this language at all. Never throws. */
export function readSource(path: string, bytes: Uint8Array): Outcome<SourceFile | undefined> {
  const decoded = decode(path, bytes);
  switch (decoded.kind) {
    case "text":
      return { value: decoded.file, findings: [] };
    case "too-large":
      return { value: undefined, findings: [tooLarge({ path, text: "" }, decoded.bytes)] };
    case "not-utf8":
      return { value: undefined, findings: [notUtf8(decoded.file, decoded.byte)] };
  }
}

/** What is wrong with the text as such; with a finding here there is no use in reading on. */
export function checkText(file: SourceFile): Finding[] {
  if (file.text.length > LARGEST_FILE) return [tooLarge(file, file.text.length)];
  return [...lostLetters(file), ...controlCharacters(file)];
}

/** The finding of a file in which nothing is written. */
export function nothingWritten(file: SourceFile): Finding {
  return finding(EMPTY, at(file, 0, file.text.length), "the file is empty", {
    help: ["write its `kind:`, which is `project`, `system`, `rules` or `procedure`, or delete the file"],
  });
}

function tooLarge(file: SourceFile, size: number): Finding {
  const message = `the file is too large: ${size} bytes, where ${LARGEST_FILE} is the most that is read`;
  return finding(TOO_LARGE, at(file, 0, 0), message, { help: ["split it into several files"] });
}

function notUtf8(file: SourceFile, byte: number): Finding {
  const end = file.text.length;
  return finding(NOT_UTF8, at(file, end, end), `the file is not UTF-8 text: byte ${byte + 1} cannot be read`, {
    help: ["save it as UTF-8 in your editor"],
  });
}

function lostLetters(file: SourceFile): Finding[] {
  const offset = file.text.indexOf("\uFFFD");
  if (offset < 0) return [];
  const message = "a letter was lost here: an editor read this file in another encoding and saved it";
  return [
    finding(NOT_UTF8, at(file, offset, offset + 1), message, {
      help: ["write the letter anew, and save the file as UTF-8"],
    }),
  ];
}

/** C0 and C1 controls but tab and line ends, a CR alone, line and paragraph separators, and marks of writing direction. */
const UNSEEN = /(?![\t\n\r])\p{Cc}|[\u2028\u2029\u202a-\u202e\u2066-\u2069]|\r(?!\n)/u;

function controlCharacters(file: SourceFile): Finding[] {
  const found = UNSEEN.exec(file.text);
  if (!found) return [];
  const code = found[0].charCodeAt(0).toString(16).toUpperCase().padStart(4, "0");
  const message = `an unseen character stands here (U+${code})`;
  return [finding(CONTROL_CHARACTER, at(file, found.index, found.index + 1), message, { help: ["delete it"] })];
}

function at(file: SourceFile, start: number, end: number): Span {
  return { file, start, end };
}
