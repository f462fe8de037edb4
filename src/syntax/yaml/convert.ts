import {
  isAlias,
  isMap,
  isPair,
  isScalar,
  isSeq,
  type Pair,
  type ParsedNode,
  type Scalar,
  type YAMLMap,
  type YAMLSeq,
} from "yaml";
import type { SourceFile, Span } from "../../source/file.js";
import type { Entry, ListNode, MapNode, Node, ScalarNode } from "../tree.js";

/** What the library's nodes hold beside the tree, for the findings about it. */
export interface Oddity {
  readonly kind: "empty-value" | "empty-item" | "no-colon" | "complex-key" | "explicit-key";
  /** The key, or where the item should be. */
  readonly at: Span;
  /** Its map, where it has one, and the entry before it. */
  readonly map?: MapNode;
  readonly key?: ScalarNode;
  readonly before?: Entry;
}

export interface Converted {
  readonly root: Node | undefined;
  readonly oddities: readonly Oddity[];
  /** Keys that stand in the file and have no value: they are not missing. */
  readonly holes: ReadonlyMap<MapNode, readonly ScalarNode[]>;
}

/** The library's nodes as our tree: every scalar's text from its source, keys in source order, aliases as the text they are written with. */
export function convert(file: SourceFile, root: ParsedNode | null): Converted {
  const conversion = new Conversion(file);
  return { root: root ? conversion.node(root) : undefined, oddities: conversion.oddities, holes: conversion.holes };
}

class Conversion {
  readonly oddities: Oddity[] = [];
  readonly holes = new Map<MapNode, readonly ScalarNode[]>();
  readonly #file: SourceFile;

  constructor(file: SourceFile) {
    this.#file = file;
  }

  /** Undefined where nothing is written. */
  node(node: unknown): Node | undefined {
    if (isMap(node)) return this.#map(node as YAMLMap.Parsed);
    if (isSeq(node)) return this.#list(node as YAMLSeq.Parsed);
    if (isScalar(node)) return this.#scalar(node as Scalar.Parsed);
    if (isAlias(node)) return this.#written(node.range as [number, number, number]);
    return undefined;
  }

  #scalar(node: Scalar.Parsed): ScalarNode | undefined {
    const [start, end] = node.range;
    const style = STYLES.get(node.type ?? "PLAIN") ?? "plain";
    const source = this.#file.text.slice(start, end);
    if (style === "plain" && source === "") return undefined;
    const span = this.#span(start, start + source.trimEnd().length);
    return { kind: "scalar", text: String(node.value ?? ""), style, span };
  }

  #written([start, end]: readonly [number, number, number]): ScalarNode {
    return { kind: "scalar", text: this.#file.text.slice(start, end), style: "plain", span: this.#span(start, end) };
  }

  #list(node: YAMLSeq.Parsed): ListNode {
    const items: Node[] = [];
    for (const item of node.items as readonly unknown[]) {
      const converted = isPair(item)
        ? this.#pairs(node, [item as Pair<ParsedNode, ParsedNode | null>])
        : this.node(item);
      if (converted) items.push(converted);
      else this.oddities.push({ kind: "empty-item", at: this.#emptyItem(node, item) });
    }
    const flow = node.flow === true;
    return {
      kind: "list",
      items,
      flow,
      span: flow ? this.#span(node.range[0], node.range[1]) : this.#blockList(node, items),
    };
  }

  #emptyItem(list: YAMLSeq.Parsed, item: unknown): Span {
    const offset = (item as { range?: readonly number[] } | null)?.range?.[0] ?? list.range[0];
    const dash = this.#file.text.lastIndexOf("-", offset);
    return dash < 0 ? this.#span(offset, offset) : this.#span(dash, dash + 1);
  }

  #blockList(node: YAMLSeq.Parsed, items: readonly Node[]): Span {
    const start = this.#file.text.indexOf("-", node.range[0]);
    const end = items.at(-1)?.span.end ?? node.range[1];
    return this.#span(start < 0 ? node.range[0] : start, Math.max(end, start + 1));
  }

  #map(node: YAMLMap.Parsed): MapNode {
    return this.#pairs(node, node.items as Pair<ParsedNode, ParsedNode | null>[]);
  }

  #pairs(node: YAMLMap.Parsed | YAMLSeq.Parsed, pairs: readonly Pair<ParsedNode, ParsedNode | null>[]): MapNode {
    const flow = node.flow === true;
    const entries: Entry[] = [];
    const holes: ScalarNode[] = [];
    const odd: Omit<Oddity, "map">[] = [];
    for (const pair of pairs) {
      const key = this.node(pair.key);
      if (isExplicit(pair))
        odd.push({ kind: "explicit-key", at: key?.span ?? this.#span(node.range[0], node.range[1]) });
      else if (key && key.kind !== "scalar") odd.push({ kind: "complex-key", at: key.span });
      const name: ScalarNode = key?.kind === "scalar" ? key : this.#noKey(node, pair);
      const value = this.node(pair.value);
      const before = entries.at(-1);
      if (value) entries.push({ key: name, value });
      else {
        holes.push(name);
        const kind = pair.value ? "empty-value" : "no-colon";
        odd.push({ kind, at: name.span, key: name, ...(before ? { before } : {}) });
      }
    }
    const map: MapNode = { kind: "map", entries, flow, span: this.#mapSpan(node, flow, entries, holes) };
    this.oddities.push(...odd.map((oddity) => ({ ...oddity, map })));
    if (holes.length > 0) this.holes.set(map, holes);
    return map;
  }

  #noKey(node: YAMLMap.Parsed | YAMLSeq.Parsed, pair: Pair<ParsedNode, ParsedNode | null>): ScalarNode {
    const start = (pair.key as ParsedNode | null)?.range?.[0] ?? node.range[0];
    return { kind: "scalar", text: "", style: "plain", span: this.#span(start, start) };
  }

  #mapSpan(
    node: YAMLMap.Parsed | YAMLSeq.Parsed,
    flow: boolean,
    entries: readonly Entry[],
    holes: readonly ScalarNode[],
  ): Span {
    if (flow && isMap(node)) return this.#span(node.range[0], node.range[1]);
    const spans = [
      ...entries.flatMap((entry) => [entry.key.span, entry.value.span]),
      ...holes.map((hole) => hole.span),
    ];
    if (spans.length === 0) return this.#span(node.range[0], node.range[1]);
    const start = spans.reduce((least, span) => Math.min(least, span.start), Number.POSITIVE_INFINITY);
    const end = spans.reduce((most, span) => Math.max(most, span.end), 0);
    return this.#span(start, end);
  }

  #span(start: number, end: number): Span {
    return { file: this.#file, start, end };
  }
}

const STYLES: ReadonlyMap<string, ScalarNode["style"]> = new Map([
  ["PLAIN", "plain"],
  ["QUOTE_SINGLE", "single"],
  ["QUOTE_DOUBLE", "double"],
  ["BLOCK_LITERAL", "block"],
  ["BLOCK_FOLDED", "block"],
]);

function isExplicit(pair: Pair<ParsedNode, ParsedNode | null>): boolean {
  const start = (pair.srcToken as { start?: readonly { type: string }[] } | undefined)?.start ?? [];
  return start.some((token) => token.type === "explicit-key-ind");
}
