import type { Span } from "../source/file.js";
import { type Document, type Entry, entry, type MapNode, type Node, type ScalarNode } from "../syntax/tree.js";

/** Where things were written: a program keeps the place of a step or a light, the trees that of every word. */
export interface Places {
  /** What stands under `key` in the map that begins where `owner` begins: a step, a `words`, a way. */
  readonly under: (owner: Span, key: string) => Node | undefined;
  /** What stands after the key at `key`, which is the place of a declaration: a light, a control. */
  readonly after: (key: Span) => Node | undefined;
  /** A key of the file itself, with what stands under it. */
  readonly ofFile: (anywhere: Span, key: string) => Entry | undefined;
}

/** An index over the trees of all files. A place that no tree knows is answered with undefined, never a throw. */
export function placesIn(documents: readonly Document[]): Places {
  const maps = new Map<string, MapNode>();
  const values = new Map<string, Node>();
  const roots = new Map<string, MapNode>();
  for (const document of documents) {
    roots.set(document.root.span.file.path, document.root);
    indexNode(document.root, maps, values);
  }
  return {
    under: (owner, key) => valueUnder(maps.get(beginning(owner)), key),
    after: (key) => values.get(beginning(key)),
    ofFile: (anywhere, key) => {
      const root = roots.get(anywhere.file.path);
      return root && entry(root, key);
    },
  };
}

/** The value under a key of a node, where the node is a map and has it. */
export function valueUnder(node: Node | undefined, key: string): Node | undefined {
  return node?.kind === "map" ? entry(node, key)?.value : undefined;
}

/** The item of a list that is this word, where the node is a list and has it. */
export function itemOf(node: Node | undefined, word: string): ScalarNode | undefined {
  if (node?.kind !== "list") return undefined;
  for (const item of node.items) if (item.kind === "scalar" && item.text === word) return item;
  return undefined;
}

/** The place of `needle` within a place, its line breaks and blanks as they fall; the whole place where it is not found. */
export function placeOf(needle: string, within: Span): Span {
  const pattern = needle.trim().split(/\s+/).map(escapePattern).join("\\s+");
  const match = new RegExp(pattern, "u").exec(within.file.text.slice(within.start, within.end));
  if (!match || pattern === "") return within;
  const start = within.start + match.index;
  return { file: within.file, start, end: start + match[0].length };
}

function indexNode(node: Node, maps: Map<string, MapNode>, values: Map<string, Node>): void {
  if (node.kind === "scalar") return;
  if (node.kind === "list") {
    for (const item of node.items) indexNode(item, maps, values);
    return;
  }
  maps.set(beginning(node.span), node);
  for (const { key, value } of node.entries) {
    values.set(beginning(key.span), value);
    indexNode(value, maps, values);
  }
}

function beginning(span: Span): string {
  return `${span.file.path}:${span.start}`;
}

function escapePattern(text: string): string {
  return text.replace(/[.*+?^${}()|[\]\\/]/g, "\\$&");
}
