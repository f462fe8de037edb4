import { type Entry, entry, type MapNode, type Node, type ScalarNode } from "../syntax/tree.js";

/*
 * Readers of a tree as written. What has not the shape of its schema reads as absent, without a word: the schema check has said so.
 */

export function asMap(node: Node | undefined): MapNode | undefined {
  return node?.kind === "map" ? node : undefined;
}

export function asScalar(node: Node | undefined): ScalarNode | undefined {
  return node?.kind === "scalar" ? node : undefined;
}

export function valueAt(map: MapNode, key: string): Node | undefined {
  return entry(map, key)?.value;
}

export function scalarAt(map: MapNode, key: string): ScalarNode | undefined {
  return asScalar(valueAt(map, key));
}

/** The text under a key; an empty one reads as absent. */
export function textAt(map: MapNode, key: string): string | undefined {
  return scalarAt(map, key)?.text || undefined;
}

export function itemsAt(map: MapNode, key: string): readonly Node[] {
  const node = valueAt(map, key);
  return node?.kind === "list" ? node.items : [];
}

/** The scalars of the list under a key; the value itself where it is one. */
export function scalarsAt(map: MapNode, key: string): readonly ScalarNode[] {
  const node = valueAt(map, key);
  if (node?.kind === "scalar") return [node];
  return node?.kind === "list" ? node.items.filter((item) => item.kind === "scalar") : [];
}

export function entriesAt(map: MapNode, key: string): readonly Entry[] {
  return asMap(valueAt(map, key))?.entries ?? [];
}

/** A map's entries as they were first written under each key; a second of one key is the syntax's complaint. */
export function firstEntries(entries: readonly Entry[]): readonly Entry[] {
  const seen = new Set<string>();
  return entries.filter(({ key }) => !seen.has(key.text) && seen.add(key.text));
}

export function isTrue(map: MapNode, key: string): boolean {
  return textAt(map, key) === "true";
}

/** A record without the keys whose value is undefined: for fields that are absent or there, never undefined. */
export function present<T extends object>(fields: T): { [K in keyof T]?: Exclude<T[K], undefined> } {
  return Object.fromEntries(Object.entries(fields).filter(([, value]) => value !== undefined)) as {
    [K in keyof T]?: Exclude<T[K], undefined>;
  };
}

/** True when no part is a hole. */
export function allThere<T>(values: readonly (T | undefined)[]): values is readonly T[] {
  return values.every((value) => value !== undefined);
}
