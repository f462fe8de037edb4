import type { StoryLine } from "../diagnostics/finding.js";
import type { State } from "../machine/concrete.js";
import { type Expression, type Variable, variablesOf } from "../machine/expression.js";
import type { Model } from "../machine/model.js";
import { assigned } from "../machine/operation.js";
import type { Search } from "../machine/symbolic/search.js";
import { type Literal, type Path, type PathStep, primeImplicant } from "../machine/symbolic/trace.js";
import type { Step } from "../program/procedure.js";
import { replay } from "./replay.js";
import { durationOf, literalWords, nameOf, placardOf, stepName, textOf } from "./words.js";

/** How a finding happens, confirmed by a run on single values. */
export interface Story {
  readonly lines: readonly StoryLine[];
  /** The positions and states of the start that matter. */
  readonly literals: readonly Literal[];
}

export interface StoryOptions {
  /** Is the last state the wrong one? */
  readonly isWrong: (state: State) => boolean;
  /** Variables worth a line. */
  readonly relevant: ReadonlySet<Variable>;
  /** A last line of its own, for what goes wrong after the last moment. */
  readonly ending?: StoryLine;
}

/** The story of a path, or undefined where the run on single values does not confirm it. */
export function storyOf(search: Search, path: Path, options: StoryOptions): Story | undefined {
  const { model } = search.transitions;
  const literals = primeImplicant(search, path.sets[0]!, search.start);
  const run = replay(search, path, literals, options.isWrong);
  if (!run) return undefined;
  const start: StoryLine = { when: "start", what: startWords(model, literals) };
  const relevant = new Set([...options.relevant, ...literals.map(({ variable }) => variable)]);
  const telling: Telling = { model, relevant, timeMatters: path.steps.some((step) => isTimed(step, relevant)) };
  const lines = path.steps.flatMap((step, index) => lineOf(telling, step, run[index]!, run[index + 1]!));
  return { lines: markLast([start, ...merged(lines)], options.ending), literals };
}

/** What decides whether a step is worth a line. */
interface Telling {
  readonly model: Model;
  readonly relevant: ReadonlySet<Variable>;
  readonly timeMatters: boolean;
}

/** A tick that a clock worth a line counts. */
function isTimed({ transition }: PathStep, relevant: ReadonlySet<Variable>): boolean {
  const { cause, operations } = transition;
  if (cause.kind !== "edge" || cause.edge.kind !== "tick") return false;
  return operations.flatMap(assigned).some((variable) => relevant.has(variable));
}

function startWords(model: Model, literals: readonly Literal[]): string {
  const words = literals.flatMap((literal) => literalWords(model.world.system, literal) ?? []);
  if (words.length === 0) return model.procedure.begins.length > 0 ? "anything that `begins` allows" : "anything";
  return `${words.join(", ")}; the rest may be anything`;
}

function lineOf(
  { model, relevant, timeMatters }: Telling,
  step: PathStep,
  before: State,
  after: State,
): readonly StoryLine[] {
  const { system } = model.world;
  const { cause } = step.transition;
  const effect = effectWords(model, before, after, cause.kind === "change" ? cause.delayed.equipment.id : undefined);
  if (cause.kind === "change") {
    const { equipment, change } = cause.delayed;
    return [line("then", `${nameOf(system, equipment.id)} becomes ${change.to}`, effect)];
  }
  if (cause.kind === "move") return [line("then", `${nameOf(system, cause.gauge)} moves`, effect)];
  const { edge } = cause;
  if (edge.kind === "pass" || !edge.step) return [];
  const when = stepName(edge.step);
  const at = edge.step.verb;
  switch (edge.act.kind) {
    case "set": {
      const { control, position, how } = edge.act;
      const variable = model.world.control(control);
      if (!effect && variable && !relevant.has(variable)) return [];
      const name = nameOf(system, control);
      const placard = placardOf(system, control, position);
      const what =
        how === "hold"
          ? `${name} ${edge.step.kind === "press" ? "pressed to" : "held at"} ${placard}`
          : how === "release"
            ? `${name} let go, to ${placard}`
            : `${name} set ${placard}`;
      return [{ ...line(when, what, effect), at }];
    }
    case "look": {
      const { condition, outcome } = edge.act;
      if (!condition || !mattersTo(edge.after, relevant)) return effect ? [{ ...line(when, "looks", effect), at }] : [];
      return [{ ...line(when, `${textOf(condition)}: ${outcome ? "yes" : "no"}`, effect), at }];
    }
    case "wait":
      if (edge.act.phase === "begun" || (!timeMatters && !effect)) return [];
      return [{ ...line(when, `${timeOf(edge.step)} over`, effect), at }];
    case "ask":
      return [{ ...line(when, `${nameOf(system, edge.act.outside)} becomes ${edge.act.state}`, effect), at }];
    default:
      return effect ? [{ ...line(when, edge.kind === "tick" ? "time passes" : "done", effect), at }] : [];
  }
}

/** "30 s are", "the wait is". */
function timeOf(step: Step): string {
  const time = step.kind === "wait" ? step.milliseconds : step.kind === "hold" ? step.for?.milliseconds : undefined;
  return time === undefined ? "the wait is" : `${durationOf(time)} are`;
}

function mattersTo(expression: Expression, relevant: ReadonlySet<Variable>): boolean {
  return [...variablesOf(expression)].some((variable) => relevant.has(variable));
}

/** What the equipment does in answer, and which named conditions come and go with it. */
function effectWords(model: Model, before: State, after: State, but: string | undefined): string | undefined {
  const { world } = model;
  const changes = [...world.system.equipment.values()].flatMap((equipment) => {
    const variable = equipment.id === but ? undefined : world.find(equipment.id);
    if (!variable || before[variable.index] === after[variable.index]) return [];
    return [`${nameOf(world.system, equipment.id)} ${equipment.states[after[variable.index]!]}`];
  });
  return changes.length > 0 ? changes.join(", ") : undefined;
}

function line(when: string, what: string, effect: string | undefined): StoryLine {
  return { when, what, ...(effect ? { effect } : {}) };
}

/** Two equal lines that follow each other are told once. */
function merged(lines: readonly StoryLine[]): readonly StoryLine[] {
  return lines.filter((one, index) => {
    const previous = lines[index - 1];
    return !previous || previous.when !== one.when || previous.what !== one.what || previous.effect !== one.effect;
  });
}

function markLast(lines: readonly StoryLine[], ending: StoryLine | undefined): readonly StoryLine[] {
  const all = ending ? [...lines, ending] : lines;
  return all.map((one, index) => (index < all.length - 1 ? one : { ...one, broken: true }));
}
