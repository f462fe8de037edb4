import type { StoryLine } from "../diagnostics/finding.js";
import type { State } from "../machine/concrete.js";
import { type Variable, variablesOf } from "../machine/expression.js";
import type { Edge } from "../machine/graph/graph.js";
import type { Model } from "../machine/model.js";
import type { PathStep } from "../machine/symbolic/trace.js";
import type { Step } from "../program/procedure.js";
import type { Equipment, System } from "../program/system.js";
import { durationOf, nameOf, placardOf, stepName, textOf } from "./words.js";

/** What decides whether a step is worth a line. */
export interface Telling {
  readonly model: Model;
  readonly relevant: ReadonlySet<Variable>;
  readonly timeMatters: boolean;
}

/** A line for a step of the path, and whether what is told depends on it. */
export interface Told {
  readonly line: StoryLine;
  readonly matters: boolean;
}

/** What a step of the path is told as; undefined where nothing happens in it. */
export function toldOf(telling: Telling, step: PathStep, before: State, after: State): Told | undefined {
  const { system } = telling.model.world;
  const { cause } = step.transition;
  const changed = changedBetween(telling.model, before, after);
  const matters = changed.some(({ variable }) => telling.relevant.has(variable));
  const effectBut = (but?: string) => effectOf(system, changed, after, but);
  if (cause.kind === "change") {
    const { equipment, change } = cause.delayed;
    const what = `${nameOf(system, equipment.id)} becomes ${change.to}`;
    return { line: lineOf("then", what, effectBut(equipment.id)), matters };
  }
  if (cause.kind === "move")
    return { line: lineOf("then", `${nameOf(system, cause.gauge)} moves`, effectBut()), matters: true };
  const { edge } = cause;
  if (edge.kind === "pass" || !edge.step) return undefined;
  const line = lineOf(stepName(edge.step), actWords(system, edge, edge.step), effectBut());
  return { line: { ...line, at: edge.step.verb }, matters: matters || actMatters(telling, edge) };
}

/** What the crew does on an edge. */
function actWords(system: System, { act, kind }: Edge, step: Step): string {
  switch (act.kind) {
    case "set": {
      const [name, placard] = [nameOf(system, act.control), placardOf(system, act.control, act.position)];
      if (act.how === "release") return `${name} let go, to ${placard}`;
      if (act.how === "set") return `${name} set ${placard}`;
      return `${name} ${step.kind === "press" ? "pressed to" : "held at"} ${placard}`;
    }
    case "look":
      return act.condition ? `${textOf(act.condition)}: ${act.outcome ? "yes" : "no"}` : "looks";
    case "wait":
      return act.phase === "begun" ? "the wait begins" : `${timeOf(step)} over`;
    case "ask":
      return `${nameOf(system, act.outside)} becomes ${act.state}`;
    default:
      return kind === "tick" ? "time passes" : "done";
  }
}

function actMatters({ model, relevant, timeMatters }: Telling, { act, after }: Edge): boolean {
  switch (act.kind) {
    case "set": {
      const variable = model.world.control(act.control);
      return !variable || relevant.has(variable);
    }
    case "look":
      return act.condition !== undefined && [...variablesOf(after)].some((variable) => relevant.has(variable));
    case "wait":
      return act.phase === "over" && timeMatters;
    default:
      return act.kind === "ask";
  }
}

/** "30 s are", "the wait is". */
function timeOf(step: Step): string {
  const time = step.kind === "wait" ? step.milliseconds : step.kind === "hold" ? step.for?.milliseconds : undefined;
  return time === undefined ? "the wait is" : `${durationOf(time)} are`;
}

interface Changed {
  readonly equipment: Equipment;
  readonly variable: Variable;
}

function changedBetween({ world }: Model, before: State, after: State): readonly Changed[] {
  return [...world.system.equipment.values()].flatMap((equipment) => {
    const variable = world.find(equipment.id);
    return variable && before[variable.index] !== after[variable.index] ? [{ equipment, variable }] : [];
  });
}

/** What the equipment does in answer. */
function effectOf(system: System, changed: readonly Changed[], after: State, but: string | undefined): string {
  return changed
    .filter(({ equipment }) => equipment.id !== but)
    .map(({ equipment, variable }) => `${nameOf(system, equipment.id)} ${equipment.states[after[variable.index]!]}`)
    .join(", ");
}

function lineOf(when: string, what: string, effect: string): StoryLine {
  return { when, what, ...(effect === "" ? {} : { effect }) };
}
