import type { Procedure, ReadAs, Step } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";
import type { System } from "../../program/system.js";
import type { BlockSource } from "./blocks.js";
import type { Marks, Reference } from "./content.js";
import { everyStep } from "./walk.js";

/** What the blocks of one procedure's card are made from. */
export function blockSource(
  program: Program,
  procedure: Procedure,
  system: System,
  readAs: ReadAs,
  marksOf: (step: Step) => Marks,
): BlockSource {
  const roles = roleMarks(procedure);
  const numbers = new Map(everyStep(procedure.steps).map((step) => [step.name, step.number]));
  return {
    system,
    numberOf: (step) => numberElsewhere(program, step) ?? numbers.get(step),
    tellsHow: once(),
    reference: (id) => referenceTo(program, id),
    markOf: (role) => roles.get(role) ?? role.toUpperCase(),
    named: procedure.crew.size < 2 ? "nobody" : readAs === "challenge-response" ? "everybody" : "others",
    headed: [],
    marksOf,
  };
}

const LONG_ROLE = 10;

/** What is printed for each role beside a line: its id in capitals, or the initials of a long one where they are no other's. */
export function roleMarks(procedure: Procedure): ReadonlyMap<string, string> {
  const marks = new Map<string, string>();
  for (const id of procedure.crew.keys()) {
    const initials = id
      .split("-")
      .map((part) => part.charAt(0))
      .join("")
      .toUpperCase();
    const short =
      id.length > LONG_ROLE && !procedure.crew.has(initials.toLowerCase()) && ![...marks.values()].includes(initials);
    marks.set(id, short ? initials : id.toUpperCase());
  }
  return marks;
}

export function referenceTo(program: Program, id: string): Reference {
  return { procedure: id, title: program.procedures.get(id)?.title ?? id };
}

/** A step of another procedure is called by its number there: that is the card on which the reader finds it. */
function numberElsewhere(program: Program, name: string): string | undefined {
  const colon = name.lastIndexOf(":");
  const other = colon < 0 ? undefined : program.procedures.get(name.slice(0, colon).split(":").at(-1) ?? "");
  const step = other && everyStep(other.steps).find((candidate) => candidate.name === name.slice(colon + 1));
  return other && step ? `${step.number} of ${other.title}` : undefined;
}

/** True at the first asking for each thing. */
function once(): (thing: string) => boolean {
  const told = new Set<string>();
  return (thing) => !told.has(thing) && told.add(thing) !== undefined;
}
