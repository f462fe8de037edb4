import type { Literal } from "../machine/symbolic/trace.js";
import type { Condition } from "../program/condition.js";
import type { Step } from "../program/procedure.js";
import type { System } from "../program/system.js";
import { differenceWords, readingWords } from "./gauge-words.js";

/** The engraved name of a thing, with its side. */
export function nameOf(system: System, id: string): string {
  const control = system.controls.get(id);
  if (control?.guards) return `${nameOf(system, control.guards.control)} guard`;
  const thing =
    control ??
    system.equipment.get(id) ??
    system.lights.get(id) ??
    system.gauges.get(id) ??
    system.outside.get(id) ??
    system.conditions.get(id);
  if (!thing) return id;
  return thing.sideLabel ? `${thing.label} ${thing.sideLabel}` : thing.label;
}

/** The placard of a position, in capitals as engraved; a guard's states stay as they are. */
export function placardOf(system: System, id: string, position: string): string {
  const control = system.controls.get(id);
  if (control?.guards) return position;
  return control?.positions.find((one) => one.id === position)?.placard.toUpperCase() ?? position;
}

/** The condition as the author wrote it. */
export function textOf(condition: Condition): string {
  const { file, start, end } = condition.span;
  return file.text.slice(start, end).replace(/\s+/g, " ").trim();
}

/** The condition as the author wrote it, in backticks. */
export function quote(condition: Condition): string {
  return `\`${textOf(condition)}\``;
}

/** "5 min", "90 s". */
export function durationOf(milliseconds: number): string {
  return milliseconds > 0 && milliseconds % 60_000 === 0 ? `${milliseconds / 60_000} min` : `${milliseconds / 1000} s`;
}

/** "step 7", with its section left out; its words where it has no number. */
export function stepName(step: Step): string {
  return step.number ? `step ${step.number}` : `\`${step.name}\``;
}

/** What a literal says of the start: "GEN BREAKER CLOSED", "the generator running or ready". */
export function literalWords(system: System, literal: Literal): string | undefined {
  const { variable, values } = literal;
  switch (variable.role.kind) {
    case "control": {
      const { thing } = variable.role;
      const positions = values.map((value) =>
        placardOf(system, thing, system.controls.get(thing)!.positions[value]!.id),
      );
      return `${nameOf(system, thing)} ${choice(positions)}`;
    }
    case "equipment":
    case "outside": {
      const { thing } = variable.role;
      const states = system.equipment.get(thing)?.states ?? system.outside.get(thing)?.states ?? [];
      return `${nameOf(system, thing)} ${choice(values.map((value) => states[value] ?? String(value)))}`;
    }
    case "gauge-place":
      return readingWords(nameOf(system, variable.role.gauge), variable.role.marks, values);
    case "gauge-difference": {
      const [left, right] = [nameOf(system, variable.role.left), nameOf(system, variable.role.right)];
      return `${left} ${differenceWords(variable.role.gaps, values)} ${right}`;
    }
    case "memory":
      return variable.name.startsWith("latch of ") && values[0] === 1
        ? `${nameOf(system, variable.name.slice(9))} still latched`
        : undefined;
    default:
      return undefined;
  }
}

function choice(words: readonly string[]): string {
  return words.length <= 1 ? (words[0] ?? "") : `${words.slice(0, -1).join(", ")} or ${words.at(-1)}`;
}
