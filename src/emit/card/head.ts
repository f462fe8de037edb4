import type { ReadAs } from "../../program/procedure.js";
import type { CardDocument, Lamp } from "./content.js";
import { capitalised } from "./wording.js";

/** `Revision 3`, or that there is none. */
export function revisionLine(document: CardDocument): string {
  return document.revision ? `Revision ${document.revision.number}` : "No revision";
}

const WAYS: Readonly<Record<ReadAs, string>> = {
  "read-and-do": "read and do",
  "challenge-response": "challenge and response",
  flow: "flow",
};

/** `read and do`. */
export function readingWay({ readAs }: Pick<CardDocument, "readAs">): string {
  return WAYS[readAs];
}

/** `2026-10-02, effective 2026-11-01`; empty where the revision has no dates. */
export function dateLine(document: CardDocument): string {
  const { date, effective } = document.revision ?? {};
  return [date ?? "", effective ? `effective ${effective}` : ""].filter(Boolean).join(", ");
}

export interface Fact {
  readonly word: string;
  readonly text: string;
  /** What tells the reader whether this is the right card; the rest may stand back. */
  readonly first: boolean;
  /** Lights that are seen, to be drawn or named after the text. */
  readonly lamps: readonly Lamp[];
}

/** What stands above the first line: when to use it, who does it, what is taken for granted. */
export function headFacts(document: CardDocument): readonly Fact[] {
  const { useWhen, startsOn, crew, begins, summary, revision } = document;
  const lamps = startsOn?.lamps ?? [];
  const facts: readonly (readonly [string, string | undefined])[] = [
    ["Use when", useWhen],
    ["You see", startsOn?.text ?? ""],
    ["Crew", crew.length > 1 ? crew.map((role) => `${role.mark} ${role.title}`).join("; ") : crew[0]?.title],
    ["Read", readingRule(document)],
    ["Taken for granted", capitalised(begins.join("; "))],
    ["Changed", summary && revision ? summary : undefined],
  ];
  return facts.flatMap(([word, text]) => {
    const seen = word === "You see" ? lamps : [];
    if (!text && seen.length === 0) return [];
    return [{ word, text: text ?? "", first: word === "Use when" || word === "You see", lamps: seen }];
  });
}

/** Who speaks and who answers. One person reading and doing needs no rule. */
function readingRule(document: CardDocument): string {
  const { readAs, reader, crew } = document;
  if (readAs === "flow") return "done from memory, panel by panel; then the check at the end from the card";
  if (crew.length < 2) return readAs === "challenge-response" ? "each line aloud, answered with the state seen" : "";
  if (readAs === "challenge-response") {
    return reader
      ? `${reader} reads; the one named on the line answers`
      : "one reads; the one named on the line answers";
  }
  return reader ? `${reader} reads; the one named on the line does it` : "";
}
