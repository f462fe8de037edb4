import type { Procedure, Step } from "../../program/procedure.js";
import type { Footnote } from "./content.js";
import { everyStep } from "./walk.js";

/** Departures from the baseline: a mark for each step that was added or moved, and the notes with their reasons. */
export function footnotesOf(procedure: Procedure): {
  readonly marks: ReadonlyMap<string, string>;
  readonly list: readonly Footnote[];
} {
  const marks = new Map<string, string>();
  const list: Footnote[] = [];
  for (const step of everyStep(procedure.steps)) {
    const text = departure(step);
    if (text === undefined) continue;
    const mark = `+${list.length + 1}`;
    marks.set(step.name, mark);
    list.push({ mark, text });
  }
  const omitted = procedure.omits.map(({ ref, because }) => ({ mark: "", text: `Left out: ${ref}. ${because}` }));
  return { marks, list: [...list, ...omitted] };
}

function departure(step: Step): string | undefined {
  const line = step.number ? `line ${step.number}` : "line";
  if (step.added !== undefined) return `Added, ${line}: ${step.added}`;
  if (step.moved !== undefined) return `Moved, ${line}: ${step.moved}`;
  return undefined;
}
