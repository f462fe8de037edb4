import type { Procedure, Step } from "../../program/procedure.js";
import { innerSteps, walkSteps } from "../../program/walk.js";

/** A line of the main way, with all that hangs from it: a step of the procedure itself or of a section of it. */
export interface Line {
  readonly step: Step;
  /** Who does it; empty where nobody is named. */
  readonly by: string;
  /** Lines with the same number may change places; those with a lower one come before. */
  readonly stretch: number;
  /** Why it stays where it is; absent: it may move within its stretch. */
  readonly fixed?: Fixed;
}

/** Why a line stays where it is. */
export type Fixed =
  | "waits"
  | "divides"
  | "repeats"
  | "at-once"
  | "other-card"
  | "people"
  | "ends"
  | "from-here-on"
  | "memory"
  | "no-place";

/**
 * The lines in their order. A stretch is a straight run of lines of one list that one person does, none of which is fixed; `hasPlace`
 * says of a step if its whole work has places on panels. What is inside a decision or a loop goes with it.
 */
export function linesOf(procedure: Procedure, hasPlace: (step: Step) => boolean): readonly Line[] {
  const lines: Line[] = [];
  let stretch = 0;
  let last: Line | undefined;
  const add = (step: Step): void => {
    const fixed = whyFixed(step) ?? (hasPlace(step) ? undefined : "no-place");
    const by = step.by[0] ?? "";
    if (fixed || !last || last.fixed || last.by !== by) stretch += 1;
    last = { step, by, stretch, ...(fixed ? { fixed } : {}) };
    lines.push(last);
  };
  const visit = (steps: readonly Step[]): void => {
    last = undefined;
    for (const step of steps) {
      if (step.kind === "section") visit(step.steps);
      else add(step);
      if (step.kind === "section") last = undefined;
    }
  };
  visit(procedure.steps);
  return lines;
}

/** The steps of a procedure with each stretch in the order in which its names come in `order`. */
export function reordered(
  steps: readonly Step[],
  lines: readonly Line[],
  order: readonly string[],
  nameIn: (step: Step) => string = (step) => step.name,
): readonly Step[] {
  const ranks = new Map(order.map((name, index) => [name, index]));
  const stretches = new Map(lines.map((line) => [line.step.name, line.stretch]));
  const stretchOf = (step: Step) => stretches.get(nameIn(step));
  const rank = (step: Step) => ranks.get(nameIn(step)) ?? 0;
  const done: Step[] = [];
  for (let from = 0; from < steps.length; ) {
    const first = steps[from] as Step;
    let to = from + 1;
    while (to < steps.length && stretchOf(first) !== undefined && stretchOf(steps[to] as Step) === stretchOf(first))
      to += 1;
    const run = steps.slice(from, to);
    done.push(...(run.length > 1 ? run.toSorted((a, b) => rank(a) - rank(b)) : [withinSection(first)]));
    from = to;
  }
  return done;

  function withinSection(step: Step): Step {
    return step.kind === "section" ? { ...step, steps: reordered(step.steps, lines, order, nameIn) } : step;
  }
}

function whyFixed(step: Step): Fixed | undefined {
  switch (step.kind) {
    case "wait":
    case "wait-for":
    case "pause":
      return "waits";
    case "if":
    case "decide":
    case "choose":
      return "divides";
    case "repeat":
      return "repeats";
    case "together":
      return "at-once";
    case "ask":
    case "say":
    case "do":
    case "sign":
      return "people";
    case "go-to":
    case "finish":
    case "set-aside":
      return "ends";
    case "watch":
    case "prohibit":
      return "from-here-on";
    case "memory":
      return "memory";
    case "perform":
      return step.target.kind === "procedure" ? "other-card" : whyFixedInside(step.steps);
    case "hold":
      return whyFixedInside(step.steps);
    default:
      return undefined;
  }
}

/** What is inside moves with the line, if it is as straight as that. */
function whyFixedInside(steps: readonly Step[]): Fixed | undefined {
  return steps.map(whyFixed).find((fixed) => fixed !== undefined);
}

/** Can the line end the card, or lead to another? */
export function canLeave(step: Step): boolean {
  return [...walkSteps([step])].some(({ kind }) => kind === "set-aside" || kind === "finish" || kind === "go-to");
}

/** Every step that the line holds, itself first. */
export function stepsOf(line: Line): readonly Step[] {
  return [line.step, ...innerSteps(line.step).flatMap((steps) => [...walkSteps(steps)])];
}
