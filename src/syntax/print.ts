import type { Entry, MapNode, Node, ScalarNode } from "./tree.js";
import { literalLines, scalarOnOneLine } from "./yaml/scalar-text.js";

/** Columns; what does not fit on a line in brackets is printed on lines of its own. */
const WIDTH = 120;

/**
 * A tree as text in the one canonical layout: two spaces a level, quotes only where they are needed, brackets where the tree has them and they
 * fit on the line. Reading it gives the same tree, styles and places aside; printing that gives the same text. Comments are not
 * part of the tree: a fix of a file that people wrote is an `Edit`, not a new print.
 */
export function printTree(root: Node): string {
  return `${lines(root, WIDTH).join("\n")}\n`;
}

/** The node on lines of its own, in `width` columns; the first may stand behind a dash. */
function lines(node: Node, width: number): readonly string[] {
  const short = inBrackets(node, width);
  if (short !== undefined) return [short];
  switch (node.kind) {
    case "scalar":
      return scalarLines(node);
    case "list":
      return node.items.flatMap((item) => behind("- ", lines(item, width - 2)));
    case "map":
      return node.entries.flatMap((entry) => entryLines(entry, width));
  }
}

function scalarLines(node: ScalarNode): readonly string[] {
  return literalLines(node.text) ?? [scalarOnOneLine(node.text, false)];
}

function entryLines({ key, value }: Entry, width: number): readonly string[] {
  const name = `${scalarOnOneLine(key.text, false)}:`;
  if (value.kind === "scalar") {
    const [first, ...rest] = scalarLines(value);
    return [`${name} ${first}`, ...rest];
  }
  const short = inBrackets(value, width - name.length - 1);
  if (short !== undefined) return [`${name} ${short}`];
  return [name, ...lines(value, width - 2).map(indented)];
}

function behind(mark: string, [first, ...rest]: readonly string[]): readonly string[] {
  return [`${mark}${first}`, ...rest.map(indented)];
}

function indented(line: string): string {
  return line === "" ? "" : `  ${line}`;
}

/** A list or map in brackets on one line; undefined where it is not written so, or does not fit. */
function inBrackets(node: Node, width: number): string | undefined {
  if (node.kind === "scalar") return undefined;
  const isEmpty = node.kind === "list" ? node.items.length === 0 : node.entries.length === 0;
  if (!node.flow && !isEmpty) return undefined;
  const text = flow(node);
  return text.length <= width || isEmpty ? text : undefined;
}

function flow(node: Node): string {
  switch (node.kind) {
    case "scalar":
      return scalarOnOneLine(node.text, true);
    case "list":
      return `[${node.items.map(flowItem).join(", ")}]`;
    case "map":
      return node.entries.length === 0 ? "{}" : `{ ${pairs(node)} }`;
  }
}

/** `[breaker: open, pump: off]`: a pair in a list needs no braces. */
function flowItem(item: Node): string {
  return item.kind === "map" && item.entries.length === 1 ? pairs(item) : flow(item);
}

function pairs(map: MapNode): string {
  return map.entries.map(({ key, value }) => `${scalarOnOneLine(key.text, true)}: ${flow(value)}`).join(", ");
}
