import type { Procedure, Step } from "../../program/procedure.js";
import { innerSteps, walkSteps } from "../../program/walk.js";

/** A line of the main way, with all that hangs from it: a step of the procedure itself, of a section of it or of what one person does meanwhile. */
export interface Line {
  readonly step: Step;
  /** Who does it; empty where nobody is named. */
  readonly by: string;
  /** Lines of one list with the same number may change places; those with a lower one come before. */
  readonly stretch: number;
  /** What it moves with among the steps of the procedure: its section, or itself alone. */
  readonly unit: Step;
  /** Units with the same number may change places, each as a whole; absent: the unit stays. */
  readonly run?: number;
  /** Why it stays where it is; absent: it may move within its stretch. */
  readonly fixed?: Fixed;
}

/** Why a line, or a section as a whole, stays where it is. */
export type Fixed =
  | "waits"
  | "at-once"
  | "other-card"
  | "people"
  | "ends"
  | "from-here-on"
  | "memory"
  | "no-place"
  | "several";

/**
 * The lines in their order. A stretch is a straight run of lines of one list that one person does, none of which is fixed; `hasPlace`
 * says of a step if its work has a place on a panel for who does it. A run is the same of units: of sections in which one person does everything and
 * nothing is fixed, and of lines outside any. What is inside a decision or a loop goes with it.
 */
export function linesOf(procedure: Procedure, hasPlace: (step: Step, by: string) => boolean): readonly Line[] {
  return new Lister(hasPlace).lines(procedure.steps);
}

class Lister {
  private readonly found: Line[] = [];
  private stretch = 0;

  constructor(private readonly hasPlace: (step: Step, by: string) => boolean) {}

  lines(steps: readonly Step[]): readonly Line[] {
    for (const step of steps) this.list(partsOf(step) ?? [{ by: "", steps: [step] }], step);
    return withRuns(this.found);
  }

  private list(parts: readonly Part[], unit: Step): void {
    for (const { by, steps } of parts) {
      let last: Line | undefined;
      for (const step of steps) {
        const inner = partsOf(step);
        last = inner ? undefined : this.add(step, by, unit, last);
        if (inner)
          this.list(
            inner.map((part) => ({ ...part, by: part.by || by })),
            unit,
          );
      }
    }
  }

  private add(step: Step, lane: string, unit: Step, last: Line | undefined): Line {
    const by = lane || (step.by[0] ?? "");
    const fixed = whyFixed(step) ?? (this.hasPlace(step, by) ? undefined : "no-place");
    if (fixed || !last || last.fixed || last.by !== by) this.stretch += 1;
    const line = { step, by, unit, stretch: this.stretch, ...(fixed ? { fixed } : {}) };
    this.found.push(line);
    return line;
  }
}

interface Part {
  readonly by: string;
  readonly steps: readonly Step[];
}

/** The lists of lines that a step is a mere frame of; undefined where it is a line. */
function partsOf(step: Step): readonly Part[] | undefined {
  if (step.kind === "section") return [{ by: "", steps: step.steps }];
  return step.kind === "together" ? step.lanes : undefined;
}

function withRuns(lines: readonly Line[]): readonly Line[] {
  const units = new Map<Step, Line[]>();
  for (const line of lines) units.set(line.unit, [...(units.get(line.unit) ?? []), line]);
  let [run, last] = [0, ""];
  let isOpen = false;
  return [...units.values()].flatMap((own) => {
    const by = own[0]!.by;
    const moves = whyUnitStays(own) === undefined;
    if (!moves || !isOpen || by !== last) run += 1;
    [isOpen, last] = [moves, by];
    return moves ? own.map((line) => ({ ...line, run })) : own;
  });
}

/** Why lines of one unit stay where they are among the others: the first reason of one of them, or that several people do them. */
export function whyUnitStays(own: readonly Line[]): Fixed | undefined {
  const fixed = own.find((line) => line.fixed)?.fixed;
  return fixed ?? (own.some(({ by }) => by !== own[0]!.by) || own[0]!.unit.kind === "together" ? "several" : undefined);
}

/** May the two change places, alone or each with its section? */
export function mayPass(one: Line, other: Line): boolean {
  if (one.fixed || other.fixed || one.by !== other.by) return false;
  if (one.unit === other.unit) return one.stretch === other.stretch;
  return one.run !== undefined && one.run === other.run;
}

/** The steps of a procedure with its lines, and the sections that they fill, in the order in which their names come in `order`. */
export function reordered(
  steps: readonly Step[],
  lines: readonly Line[],
  order: readonly string[],
  nameIn: (step: Step) => string = (step) => step.name,
): readonly Step[] {
  const ranks = new Map(order.map((name, index) => [name, index]));
  const known = new Map(lines.map((line) => [line.step.name, line]));
  const rank = (step: Step) => ranks.get(nameIn(firstLine(step))) ?? 0;
  const within = (list: readonly Step[]): readonly Step[] =>
    sortedRuns(list.map(sorted), (step) => (partsOf(step) ? undefined : known.get(nameIn(step))?.stretch), rank);
  const sorted = (step: Step): Step => {
    if (step.kind === "section") return { ...step, steps: within(step.steps) };
    if (step.kind === "together")
      return { ...step, lanes: step.lanes.map((lane) => ({ ...lane, steps: within(lane.steps) })) };
    return step;
  };
  return sortedRuns(steps.map(sorted), (step) => known.get(nameIn(firstLine(step)))?.run, rank);
}

/** The first of the lines that a frame holds; a line is its own. A frame is sorted already. */
function firstLine(step: Step): Step {
  const first = partsOf(step)?.flatMap(({ steps }) => steps)[0];
  return first ? firstLine(first) : step;
}

/** Neighbours of one run sorted by rank. */
function sortedRuns(
  steps: readonly Step[],
  runOf: (step: Step) => number | undefined,
  rank: (step: Step) => number,
): readonly Step[] {
  const done: Step[] = [];
  for (let from = 0; from < steps.length; ) {
    const run = runOf(steps[from]!);
    let to = from + 1;
    while (to < steps.length && run !== undefined && runOf(steps[to]!) === run) to += 1;
    done.push(...steps.slice(from, to).sort((a, b) => rank(a) - rank(b)));
    from = to;
  }
  return done;
}

function whyFixed(step: Step): Fixed | undefined {
  switch (step.kind) {
    case "wait":
    case "wait-for":
    case "pause":
      return "waits";
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
      return step.target.kind === "procedure" ? "other-card" : whyFixedInside(step);
    case "if":
    case "decide":
    case "choose":
    case "repeat":
    case "hold":
      return whyFixedInside(step);
    default:
      return undefined;
  }
}

/** What is inside moves with the line, if nothing in it has to stay; that the card can end there is a tie to what is done before and after. */
function whyFixedInside(step: Step): Fixed | undefined {
  const reasons = innerSteps(step).flatMap((steps) => steps.map(whyFixed));
  return reasons.find((fixed) => fixed !== undefined && fixed !== "ends");
}

/** Can the line end the card, or lead to another? */
export function canLeave(step: Step): boolean {
  return [...walkSteps([step])].some(({ kind }) => kind === "set-aside" || kind === "finish" || kind === "go-to");
}

/** A step and every step inside it. */
export function stepsOf(step: Step): readonly Step[] {
  return [...walkSteps([step])];
}
