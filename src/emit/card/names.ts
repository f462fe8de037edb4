import type { System, Thing } from "../../program/system.js";

/** What is engraved on a thing, with its side: `COOLING PUMP 1`. An id that the system lacks is printed as it is. */
export function nameOf(system: System, id: string): string {
  const thing = findThing(system, id);
  return thing ? withSide(thing.label, sideOf(thing)) : id;
}

/** Several names with their sides drawn together: `COOLING PUMP 1 and 2`, `FUEL PORT, CROSSOVER and HEATER`. */
export function joinNames(system: System, ids: readonly string[], word: "and" | "or"): string {
  const families = new Map<string, { label: string; sides: string[] }>();
  for (const id of ids) {
    const thing = findThing(system, id);
    const label = thing?.label ?? id;
    const family = families.get(label) ?? { label, sides: [] };
    const side = thing && sideOf(thing);
    if (side) family.sides.push(side);
    families.set(label, family);
  }
  return joinWords(
    [...families.values()].map(({ label, sides }) => withSide(label, joinWords(sides, word))),
    word,
  );
}

/** `a`, `a and b`, `a, b and c`. */
export function joinWords(words: readonly string[], word: "and" | "or"): string {
  if (words.length < 2) return words[0] ?? "";
  return `${words.slice(0, -1).join(", ")} ${word} ${words.at(-1)}`;
}

/** The engraved word of a control's position; the position's id where the control is not known. */
export function placardOf(system: System, control: string, position: string): string {
  const found = system.controls.get(control)?.positions.find((candidate) => candidate.id === position);
  return found?.placard ?? capitals(position);
}

/** A state's id as a response: `not-ready` becomes `NOT READY`. */
export function capitals(id: string): string {
  return id.replaceAll("-", " ").toUpperCase();
}

/** `15 s`, `3 min`, `1 min 30 s`, `2 h`. */
export function durationOf(milliseconds: number): string {
  if (milliseconds < 1000) return `${milliseconds} ms`;
  const seconds = milliseconds / 1000;
  const hours = Math.floor(seconds / 3600);
  const minutes = Math.floor((seconds % 3600) / 60);
  const rest = Math.round((seconds - hours * 3600 - minutes * 60) * 1000) / 1000;
  const parts = [hours ? `${hours} h` : "", minutes ? `${minutes} min` : "", rest ? `${rest} s` : ""];
  return parts.filter(Boolean).join(" ");
}

export function findThing(system: System, id: string): Thing | undefined {
  const { controls, gauges, equipment, outside, conditions, lights } = system;
  for (const things of [controls, gauges, equipment, outside, conditions, lights]) {
    const found = things.get(id);
    if (found) return found;
  }
  return undefined;
}

function sideOf(thing: Thing): string {
  return thing.sideLabel ?? thing.side ?? "";
}

/** A side takes the case of the label that it stands beside. */
function withSide(label: string, side: string): string {
  if (!side) return label;
  if (!isCapitals(label) && label.includes(" ")) return `${label} (${side})`;
  return `${label} ${isCapitals(label) ? side.toUpperCase().replaceAll(" AND ", " and ").replaceAll(" OR ", " or ") : side}`;
}

function isCapitals(text: string): boolean {
  return text === text.toUpperCase() && text !== text.toLowerCase();
}
