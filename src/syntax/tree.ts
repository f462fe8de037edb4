import type { Span } from "../source/file.js";

/** A YAML file's content as written: text is the source of the scalar, never YAML's guess at a type. Keys keep their order. */
export type Node = ScalarNode | ListNode | MapNode;

export interface ScalarNode {
  readonly kind: "scalar";
  readonly text: string;
  /** How it was written; `block` is `|` or `>`. */
  readonly style: "plain" | "single" | "double" | "block";
  readonly span: Span;
}

export interface ListNode {
  readonly kind: "list";
  readonly items: readonly Node[];
  readonly flow: boolean;
  readonly span: Span;
}

export interface MapNode {
  readonly kind: "map";
  readonly entries: readonly Entry[];
  readonly flow: boolean;
  readonly span: Span;
}

export interface Entry {
  readonly key: ScalarNode;
  readonly value: Node;
}

export type DocumentKind = "project" | "system" | "rules" | "procedure";

/** One file, parsed, shape-checked against its schema. Parts that failed the shape are still here: readers must cope with holes. */
export interface Document {
  readonly kind: DocumentKind;
  /** The `id:` of the file, else its name without folder and ending. */
  readonly id: string;
  readonly idSpan: Span;
  readonly root: MapNode;
}

/** The value under a key, or undefined. */
export function entry(map: MapNode, key: string): Entry | undefined {
  return map.entries.find((candidate) => candidate.key.text === key);
}
