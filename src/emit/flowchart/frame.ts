import type { Procedure } from "../../program/procedure.js";
import type { Frame } from "../drawing/frame.js";
import type { Measure } from "../drawing/measure.js";
import type { Box } from "./piece.js";

/** What stands around a chart: which procedure it is of, and what those signs mean that occur in it. `cut`: connectors are to come. */
export function frameOf(
  procedure: Procedure,
  boxes: readonly Box[],
  options: { readonly measure: Measure; readonly cautions: readonly string[]; readonly draft?: boolean },
  size: number,
  cut = false,
): Frame {
  const steps = boxes.filter((box) => box.node.number !== "").length;
  return {
    id: `flowchart-${procedure.id}`,
    title: procedure.title,
    subtitle: `Flowchart · ${revisionOf(procedure)}`,
    description:
      `Flowchart of ${procedure.title}: ${steps} numbered steps and decisions from its start to its ends. ` +
      "Yes leads down and No to the right unless the words beside a line say otherwise.",
    keys: keysOf(boxes, cut),
    cautions: options.cautions,
    ...(options.draft ? { draft: true } : {}),
    measure: options.measure,
    size,
  };
}

export function revisionOf(procedure: Procedure): string {
  const { revision } = procedure;
  const dates = [revision?.date, revision?.effective ? `effective ${revision.effective}` : ""]
    .filter(Boolean)
    .join(", ");
  return [procedure.id, revision ? `revision ${revision.number}` : "no revision", dates].filter(Boolean).join(" · ");
}

function keysOf(boxes: readonly Box[], cut: boolean): readonly string[] {
  const has = (test: (box: Box) => boolean) => boxes.some(test);
  const keys = [
    ...(has((box) => box.node.heavy) ? ["heavy frame: critical, or from memory"] : []),
    ...(has((box) => box.node.shape === "aside") ? ["heavy round end: the card is set aside"] : []),
    ...(has((box) => box.node.shape === "joint") ? ["dot: lines run together"] : []),
    ...(has((box) => box.node.shape === "bar") ? ["double bar: lanes begin or end together"] : []),
    ...(cut || has((box) => box.node.shape === "connector")
      ? ["lettered circle: goes on at the other circle with that letter"]
      : []),
  ];
  return keys.length === 0 ? [] : [`Signs: ${keys.join("; ")}.`];
}
