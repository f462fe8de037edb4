import type { Procedure, Step } from "../program/procedure.js";
import { asWritten, listsInside } from "./walk.js";

/** A paragraph of the baseline as a card names it: `6.10/7` is number 7 of `6.10/`. */
export interface Paragraph {
  readonly ref: string;
  readonly within: string;
  readonly number: number;
  /** The last of a range, `6.10/7-9`; else the same. */
  readonly last: number;
}

/** A step with the paragraph that it carries. */
export interface TracedStep {
  readonly step: Step;
  readonly paragraph: Paragraph;
}

/** What a `ref` names, or undefined where it ends in no number. `6.10/7-9` is a range; `6-9`, with nothing before it, number 9 of `6-`. */
export function paragraphOf(ref: string): Paragraph | undefined {
  const text = ref.trim();
  const range = /^(.+?)(\d+)\s*(?:-|\u2013|to)\s*(\d+)$/u.exec(text);
  if (range && !/\d$/u.test(range[1] ?? "") && Number(range[2]) < Number(range[3])) {
    return { ref, within: range[1] ?? "", number: Number(range[2]), last: Number(range[3]) };
  }
  const [, within = "", digits] = /^(.*?)(\d+)$/u.exec(text) ?? [];
  return digits === undefined ? undefined : { ref, within, number: Number(digits), last: Number(digits) };
}

/** The steps that carry a numbered `ref`, in written order. */
export function tracedSteps(steps: readonly Step[]): readonly TracedStep[] {
  return steps.flatMap((step) => {
    const paragraph = step.ref === undefined ? undefined : paragraphOf(step.ref);
    return paragraph ? [{ step, paragraph }] : [];
  });
}

/** The lines that neither carry a `ref`, an `added` or a `moved` nor stand in a step that does. Headings and ends are no lines. */
export function unaccountedLines(procedure: Procedure): readonly Step[] {
  return asWritten(unaccountedIn(procedure.steps));
}

function unaccountedIn(steps: readonly Step[]): readonly Step[] {
  return steps.flatMap((step) => {
    if (isAccounted(step) || ENDS.has(step.kind)) return [];
    const inner = listsInside(step).flat();
    return CONTAINERS.has(step.kind) ? unaccountedIn(inner) : [step];
  });
}

function isAccounted(step: Step): boolean {
  return step.ref !== undefined || step.added !== undefined || step.moved !== undefined;
}

const ENDS: ReadonlySet<Step["kind"]> = new Set(["finish", "set-aside", "go-to", "pause", "sign"]);

/** Steps that are accounted for by what is inside them. */
const CONTAINERS: ReadonlySet<Step["kind"]> = new Set([
  "section",
  "memory",
  "if",
  "decide",
  "choose",
  "repeat",
  "together",
  "perform",
]);
