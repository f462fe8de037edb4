import type { Mark } from "../machine/expression.js";
import type { Literal } from "../machine/symbolic/trace.js";
import type { Condition } from "../program/condition.js";
import type { Step } from "../program/procedure.js";
import type { System } from "../program/system.js";

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
      if (variable.size === 3) return `${left} ${ORDER_WORDS.get(values.join()) ?? "beside"} ${right}`;
      return `a certain difference of ${left} and ${right}`;
    }
    case "memory":
      return variable.name.startsWith("latch of ") && values[0] === 1
        ? `${nameOf(system, variable.name.slice(9))} still latched`
        : undefined;
    default:
      return undefined;
  }
}

/** How a reading stands to another: values of their difference, below, at and above nought. */
const ORDER_WORDS = new Map([
  ["0", "below"],
  ["1", "equal to"],
  ["2", "above"],
  ["0,1", "not above"],
  ["1,2", "not below"],
  ["0,2", "not equal to"],
]);

/** "DEPTH at least 2 m and below 5 m": place 2i is the gap below mark i, 2i+1 the mark itself. */
function readingWords(name: string, marks: readonly Mark[], all: readonly number[]): string {
  const low = marks.findIndex((mark) => mark.end === "low");
  const high = marks.findIndex((mark) => mark.end === "high");
  const values = all.filter((value) => value > 2 * low && (high < 0 || value <= 2 * high + 1));
  const runs = values.flatMap((value, index) => {
    if (value - 1 === values[index - 1]) return [];
    let last = index;
    while (values[last + 1] === values[last]! + 1) last++;
    return [runWords(marks, value, values[last]!)];
  });
  return runs.includes(undefined) ? `a certain reading of ${name}` : `${name} ${runs.join(" or ")}`;
}

/** Undefined where a bound has no words. The ends of the range are no bounds. */
function runWords(marks: readonly Mark[], from: number, to: number): string | undefined {
  if (from === to && from % 2 === 1) return boundWords("exactly", marks[(from - 1) / 2]);
  const low = from % 2 === 1 ? boundWords("at least", marks[(from - 1) / 2]) : boundWords("above", marks[from / 2 - 1]);
  const high = to % 2 === 1 ? boundWords("at most", marks[(to - 1) / 2]) : boundWords("below", marks[to / 2]);
  if (low === undefined || high === undefined) return undefined;
  return [low, high].filter((words) => words !== "").join(" and ") || "anywhere";
}

function boundWords(how: string, mark: Mark | undefined): string | undefined {
  const isNone = !mark || (mark.end === "low" && how === "at least") || (mark.end === "high" && how === "at most");
  if (isNone) return "";
  return mark.text === undefined ? undefined : `${how} ${mark.text}`;
}

function choice(words: readonly string[]): string {
  return words.length <= 1 ? (words[0] ?? "") : `${words.slice(0, -1).join(", ")} or ${words.at(-1)}`;
}
