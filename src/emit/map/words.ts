import type { Procedure } from "../../program/procedure.js";
import type { Path } from "./path.js";
import type { Act } from "./stops.js";

/** One line for each person: how far hand and eye go. */
export function pathLines(paths: readonly Path[], procedure: Procedure): readonly string[] {
  return paths.map((path) => {
    const who = procedure.crew.get(path.by) ?? path.by;
    const parts = [
      counted(path.stops.length, "stop"),
      ...(path.length === undefined ? ["no length, since places are missing"] : [`${Math.round(path.length)} mm`]),
      `${counted(path.jumps, "move")} to another panel`,
      `${path.returns} of them back to one left before`,
      ...(path.walks > 0 ? [`${path.walks} between areas, not measured`] : []),
    ];
    return `${who ? `${who}: ` : ""}${parts.join(", ")}.`;
  });
}

/** What the signs mean that occur. */
export function keyLines(paths: readonly Path[]): readonly string[] {
  const acts = new Set(paths.flatMap((path) => path.stops.map((stop) => stop.act)));
  const signs: readonly (readonly [Act, string])[] = [
    ["set", "black square: set"],
    ["verify", "white square: made sure of"],
    ["check", "round: looked at"],
    ["observe", "diamond: lights observed, small ones the others of the same look"],
  ];
  const known = signs.filter(([act]) => acts.has(act)).map(([, words]) => words);
  if (known.length === 0) return ["No step of this procedure has a place on a panel."];
  return [
    `Signs, with the number of the line: ${known.join("; ")}. Bold: where a control is left.`,
    "Drawn is the main line: the first way of every decision, without what an exception asks for and without other procedures.",
  ];
}

function counted(count: number, thing: string): string {
  return `${count} ${thing}${count === 1 ? "" : "s"}`;
}
