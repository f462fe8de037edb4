import type { Procedure } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";
import type { System } from "../../program/system.js";
import { blocksOf } from "./blocks.js";
import { type Changes, changesBetween } from "./changes.js";
import type { Block, Marks } from "./content.js";
import { blockSource } from "./source.js";

const UNMARKED: Marks = { changed: false, removedBefore: false, killer: false };
const NO_CHANGES: Changes = { changed: new Set(), removedBefore: new Set() };

/** What differs on a card from an earlier state of its repository. A card that the earlier state does not hold is new as a whole, and has no bars: they would say nothing. */
export function changesSince(program: Program, procedure: Procedure, since: Program | undefined): Changes {
  const before = since?.procedures.get(procedure.id);
  const oldSystem = since?.systems.get(before?.system ?? "");
  const system = program.systems.get(procedure.system);
  if (!since || !before || !oldSystem || !system) return NO_CHANGES;
  return changesBetween(bareBlocks(since, before, oldSystem), bareBlocks(program, procedure, system));
}

/** Everybody is named, so that a line does not change with the heading above it. */
function bareBlocks(program: Program, procedure: Procedure, system: System): readonly Block[] {
  const source = blockSource(program, procedure, system, "challenge-response", () => UNMARKED);
  return blocksOf(source, procedure.steps);
}
