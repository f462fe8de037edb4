import type { Finding } from "../../diagnostics/finding.js";
import { suggest } from "../../diagnostics/suggest.js";
import type { MapNode, ScalarNode } from "../../syntax/tree.js";
import { noSide } from "../names/complaints.js";
import { asMap, scalarAt, scalarsAt, valueAt } from "../read.js";
import type { Here } from "./here.js";
import type { Project } from "./text.js";

/** The sides of a step's `for-each`; undefined where it has none. */
export function sidesForEach(step: MapNode, here: Here, project: Project): readonly string[] | undefined {
  const eachOf = asMap(valueAt(step, "for-each"));
  if (!eachOf) return undefined;
  const sides = scalarsAt(eachOf, "side").filter((side) => isSide(side, here, project));
  return [...new Set(sides.map(({ text }) => text))];
}

/** The side that a step is performed `with`; undefined where it says none, or one that was reported. */
export function sideWith(step: MapNode, here: Here, project: Project): ScalarNode | undefined {
  const given = asMap(valueAt(step, "with"));
  const side = given && scalarAt(given, "side");
  return side && isSide(side, here, project) ? side : undefined;
}

function isSide(side: ScalarNode, { frame }: Here, { report }: Project): boolean {
  const { sides } = frame.text.world.names;
  if (!sides.has(side.text)) report(noSuchSide(side, "nothing in the system", [...sides]));
  return sides.has(side.text);
}

/** `what` has other sides than this one, or none. */
export function noSuchSide({ text, span }: ScalarNode, what: string, sides: readonly string[]): Finding {
  const near = suggest(text, sides);
  const listed = sides.map((side) => `\`${side}\``).join(", ");
  const help = near === undefined ? (listed === "" ? "leave the side out" : `there is ${listed}`) : `write \`${near}\``;
  return noSide(text, span, `${what} has a side \`${text}\``, help);
}
