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

/** What literals say of the start, things in the order in which the system declares them: controls first, then equipment, what is outside, gauges. */
export function startWords(system: System, literals: readonly Literal[]): readonly string[] {
  const order = [system.controls, system.equipment, system.outside, system.gauges].flatMap((things) => [
    ...things.keys(),
  ]);
  const places = new Map(order.map((thing, place) => [thing, place]));
  const placeOf = ({ variable: { role } }: Literal) => {
    const thing = "thing" in role ? role.thing : "gauge" in role ? role.gauge : "left" in role ? role.left : "";
    return places.get(thing) ?? order.length;
  };
  const sorted = literals.toSorted((one, other) => placeOf(one) - placeOf(other));
  return sorted.flatMap((literal) => literalWords(system, literal) ?? []);
}

/** What a literal says of the start: "GEN BREAKER CLOSED", "the generator running or ready". */
function literalWords(system: System, literal: Literal): string | undefined {
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
