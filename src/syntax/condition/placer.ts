import type { Span } from "../../source/file.js";
import type { ScalarNode } from "../tree.js";
import { offsetsInFile } from "./offsets.js";

/** Offsets of a scalar's text to a span in the file. */
export type Placer = (start: number, end: number) => Span;

/** The placer of a scalar, whichever way it is quoted or folded. */
export function placer(node: ScalarNode): Placer {
  const offsets = offsetsInFile(node);
  return (start, end) => {
    const from = offsets[start] ?? node.span.end;
    const last = offsets[end - 1];
    const to = end <= start ? from : Math.min(node.span.end, (last ?? node.span.end) + 1);
    return { file: node.span.file, start: from, end: Math.max(from, to) };
  };
}
