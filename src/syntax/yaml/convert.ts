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
export type Oddity =
  | { readonly kind: "empty-item" | "complex-key" | "explicit-key" | "empty-key"; readonly at: Span }
  | { readonly kind: "empty-value"; readonly at: Span; readonly key: ScalarNode }
  | NoColon;

/** A word in a map with no colon after it. Inside { } it may be what a comma left of the text before it: up to `last`. */
export interface NoColon {
  readonly kind: "no-colon";
  readonly key: ScalarNode;
  readonly last: ScalarNode;
  readonly flow: boolean;
  readonly before?: Entry;
}

/** Keys that stand in the file and have no value, by the map that they stand in: they are not missing. */
export type Holes = ReadonlyMap<MapNode, readonly ScalarNode[]>;

export interface Converted {
  readonly root: Node | undefined;
  readonly oddities: readonly Oddity[];
  readonly holes: Holes;
}

type Collection = YAMLMap.Parsed | YAMLSeq.Parsed;
type YamlPair = Pair<ParsedNode, ParsedNode | null>;

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
      const converted = isPair(item) ? this.#pairs(node, [item as YamlPair]) : this.node(item);
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
    return this.#pairs(node, node.items as YamlPair[]);
  }

  #pairs(node: Collection, pairs: readonly YamlPair[]): MapNode {
    const flow = node.flow === true;
    const entries: Entry[] = [];
    const holes: ScalarNode[] = [];
    let cut: NoColon | undefined;
    for (const pair of pairs) {
      const key = this.#key(node, pair);
      const value = this.node(pair.value);
      if (value) entries.push({ key, value });
      else holes.push(key);
      if (cut && (pair.value || !flow)) cut = this.#push(cut);
      if (pair.value && !value && key.text !== "") this.#push({ kind: "empty-value", at: key.span, key });
      if (!pair.value && isWord(pair)) cut = cut ? { ...cut, last: key } : noColon(key, flow, entries.at(-1));
    }
    if (cut) this.#push(cut);
    const map: MapNode = { kind: "map", entries, flow, span: this.#mapSpan(node, flow, entries, holes) };
    if (holes.length > 0) this.holes.set(map, holes);
    return map;
  }

  #push(oddity: Oddity): undefined {
    this.oddities.push(oddity);
  }

  #key(node: Collection, pair: YamlPair): ScalarNode {
    const key = this.node(pair.key);
    const start = pair.key?.range?.[0] ?? node.range[0];
    const span = key?.span ?? this.#span(start, start);
    if (isExplicit(pair)) this.#push({ kind: "explicit-key", at: span });
    else if (key && key.kind !== "scalar" && key.flow) this.#push({ kind: "complex-key", at: span });
    else if (!key) this.#push({ kind: "empty-key", at: span });
    return key?.kind === "scalar" ? key : { kind: "scalar", text: "", style: "plain", span };
  }

  /** A map in lines reaches from its first key to its last value. */
  #mapSpan(node: Collection, flow: boolean, entries: readonly Entry[], holes: readonly ScalarNode[]): Span {
    let [start, end] = node.range;
    if (flow && isMap(node)) return this.#span(start, end);
    const spans = [
      ...entries.flatMap((entry) => [entry.key.span, entry.value.span]),
      ...holes.map((hole) => hole.span),
    ];
    if (spans.length > 0) [start, end] = [Number.POSITIVE_INFINITY, 0];
    for (const span of spans) [start, end] = [Math.min(start, span.start), Math.max(end, span.end)];
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

function noColon(key: ScalarNode, flow: boolean, before: Entry | undefined): NoColon {
  return { kind: "no-colon", key, last: key, flow, ...(before ? { before } : {}) };
}

/** A list in lines where a key belongs is a line out of place: the library says so itself. */
function isWord(pair: YamlPair): boolean {
  return !isExplicit(pair) && !isSeq(pair.key) && !isMap(pair.key);
}

function isExplicit(pair: YamlPair): boolean {
  const start = (pair.srcToken as { start?: readonly { type: string }[] } | undefined)?.start ?? [];
  return start.some((token) => token.type === "explicit-key-ind");
}
