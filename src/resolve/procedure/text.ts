import type { Finding } from "../../diagnostics/finding.js";
import type { Span } from "../../source/file.js";
import type { Document, Entry, MapNode } from "../../syntax/tree.js";
import { entriesAt, firstEntries } from "../read.js";
import type { World } from "../system/system.js";

/** A procedure's file, with what its steps are read against. */
export interface ProcedureText {
  /** The id by which the file is called. */
  readonly id: string;
  readonly idSpan: Span;
  readonly root: MapNode;
  readonly world: World;
  /** Role to its title. */
  readonly crew: ReadonlyMap<string, string>;
  readonly parts: ReadonlyMap<string, Entry>;
  /** The sides for which it is there once each, because its steps say `.side`; empty for most. */
  readonly sides: readonly string[];
}

/** What reading one procedure needs of the project. */
export interface Project {
  readonly texts: ReadonlyMap<string, ProcedureText>;
  readonly categories: readonly string[];
  /** Milliseconds for a step without `takes`. */
  readonly stepTakes: number;
  readonly report: (finding: Finding) => void;
}

export function procedureText({ id, idSpan, root }: Document, world: World): ProcedureText {
  const crew = new Map<string, string>();
  for (const { key, value } of firstEntries(entriesAt(root, "crew"))) {
    crew.set(key.text, value.kind === "scalar" ? value.text : key.text);
  }
  const parts = new Map(firstEntries(entriesAt(root, "parts")).map((part) => [part.key.text, part] as const));
  return { id, idSpan, root, world, crew, parts, sides: [] };
}

/** The id of the procedure that a text becomes: `start`, or `start.port` where it is there for each side. */
export function procedureId(text: ProcedureText, side: string | undefined): string {
  return text.sides.length > 0 && side !== undefined ? `${text.id}.${side}` : text.id;
}
