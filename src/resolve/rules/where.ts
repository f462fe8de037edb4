import type { Procedure } from "../../program/procedure.js";
import type { MapNode } from "../../syntax/tree.js";
import { unknownName } from "../names/complaints.js";
import type { Resolved } from "../procedure/procedure.js";
import { type Project, procedureId } from "../procedure/text.js";
import { scalarsAt, valueAt } from "../read.js";
import type { World } from "../system/system.js";

export interface RuleProject extends Project {
  /** Every procedure of the project, resolved. */
  readonly procedures: ReadonlyMap<string, Resolved>;
}

/** The categories and procedures of a rule's `in`; a procedure that is there for each side stands for all of them. */
export function readIn(map: MapNode, world: World, project: RuleProject): readonly string[] | undefined {
  if (!valueAt(map, "in")) return undefined;
  return scalarsAt(map, "in").flatMap(({ text, span }) => {
    if (project.categories.includes(text)) return [text];
    const named = project.texts.get(text);
    if (named?.world === world) {
      return named.sides.length === 0 ? [named.id] : named.sides.map((side) => procedureId(named, side));
    }
    const procedures = [...project.texts.values()].filter((other) => other.world === world);
    const known = [...project.categories, ...procedures.map(({ id }) => id)];
    project.report(unknownName(text, span, "the name of a category or procedure", known));
    return [];
  });
}

/** The procedures that a rule of this `in` is for. */
export function proceduresFor(
  world: World,
  { procedures }: RuleProject,
  only: readonly string[] | undefined,
): Resolved[] {
  const isFor = ({ id, category, system }: Procedure) => {
    return system === world.system.id && (!only || only.includes(id) || only.includes(category));
  };
  return [...procedures.values()].filter(({ procedure }) => isFor(procedure));
}
