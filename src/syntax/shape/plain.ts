import type { Entry, Node } from "../tree.js";

export type Plain = string | Plain[] | { [key: string]: Plain };

/** The tree as plain values for the validators: scalars as text, maps without prototype (a key may be `__proto__`), the first of two equal keys. */
export function plain(node: Node): Plain {
  switch (node.kind) {
    case "scalar":
      return node.text;
    case "list":
      return node.items.map(plain);
    case "map": {
      const value: { [key: string]: Plain } = Object.create(null);
      for (const { key, value: inner } of node.entries) {
        if (!(key.text in value) && !isNoKey(key.text)) value[key.text] = plain(inner);
      }
      return value;
    }
  }
}

/** True of what stands for a key and is none: the checks of the YAML have a finding for it. */
export function isNoKey(text: string): boolean {
  return text === "" || text === "<<";
}

/** A place in the tree: the node, and the entry whose value it is, or the list in which it is an item. */
export interface Located {
  readonly node: Node;
  readonly entry?: Entry;
  /** The entry whose value is the list that the node is an item of. */
  readonly itemOf?: Entry;
}

/** The node that a JSON pointer into `plain(root)` names. */
export function locate(root: Node, pointer: string): Located {
  let at: Located = { node: root };
  for (const part of pointer.split("/").slice(1)) {
    const next = step(at, part.replaceAll("~1", "/").replaceAll("~0", "~"));
    if (!next) break;
    at = next;
  }
  return at;
}

function step(from: Located, part: string): Located | undefined {
  if (from.node.kind === "list") {
    const node = from.node.items[Number(part)];
    return node && { node, ...(from.entry ? { itemOf: from.entry } : {}) };
  }
  if (from.node.kind !== "map") return undefined;
  const entry = from.node.entries.find((candidate) => candidate.key.text === part);
  return entry && { node: entry.value, entry };
}
