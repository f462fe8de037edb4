import type { Finding } from "../../src/diagnostics/finding.js";
import { linesOf } from "../../src/source/lines.js";

/** A line of carets under the place of a finding, with its code and message; below it the ways out. */
const NOTE = /^#(?: *\^+|\^*) [a-z-]+\/[a-z-]+: |^# {3}help: /;

/** The text without its notes. */
export function withoutNotes(fixture: string): string {
  return fixture
    .split("\n")
    .filter((line) => !NOTE.test(line))
    .join("\n");
}

/** The text with a note below each line at which a finding begins. The mark of the comment stands for a caret in column 1. */
export function withNotes(text: string, findings: readonly Finding[]): string {
  const annotated = text
    .split("\n")
    .flatMap((line, index) => [line, ...findings.flatMap((found) => note(found, index + 1))]);
  return annotated.join("\n");
}

function note(found: Finding, line: number): string[] {
  const lines = linesOf(found.at.file);
  const place = lines.place(found.at.start);
  if (place.line !== line) return [];
  const room = Math.max(1, lines.text(line).length - place.column + 1);
  const width = Math.min(Math.max(1, found.at.end - found.at.start), room);
  const carets = `#${" ".repeat(Math.max(0, place.column - 2))}${"^".repeat(place.column === 1 ? width - 1 : width)}`;
  return [`${carets} ${found.code}: ${found.message}`, ...found.help.map((way) => `#   help: ${way}`)];
}
