import { invariant } from "../../invariant.js";
import type { Procedure, ReadAs, Step } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";
import type { System } from "../../program/system.js";
import { type BlockSource, blocksOf } from "./blocks.js";
import type { Changes } from "./changes.js";
import { cleanDocument } from "./clean.js";
import type { CardDocument, Marks, Role } from "./content.js";
import { flowBlocks } from "./flow.js";
import { footnotesOf } from "./footnotes.js";
import { keysOf } from "./keys.js";
import { lampOf } from "./lamps.js";
import { prohibition } from "./lines.js";
import { changesSince } from "./since.js";
import { blockSource, referenceTo, roleMarks } from "./source.js";
import { everyStep } from "./walk.js";
import { capitalised, sentenceOf } from "./wording.js";

export interface CardOptions {
  /** How it is read; the procedure's first way where not given. */
  readonly readAs?: ReadAs;
  /** An error-level finding stands: DRAFT goes across every page. */
  readonly draft?: boolean;
  /** An earlier state of the repository: lines that differ from it get a bar. */
  readonly since?: Program;
  /** Names of the steps whose omission nothing on the card would catch. */
  readonly killers?: ReadonlySet<string>;
}

export const CAUTION =
  "Check against the approved manuals and the local rules; have it approved by those licensed to do so.";
export const FICTIONAL = "Fictional. Not for operation.";

/** What stands on the card of `procedure`, in order, with no geometry. The procedure and its system are of `program`. */
export function cardDocument(program: Program, procedure: Procedure, options: CardOptions = {}): CardDocument {
  const system = program.systems.get(procedure.system);
  invariant(system, `procedure ${procedure.id} has no system`);
  const readAs = options.readAs ?? procedure.readAs[0] ?? "read-and-do";
  const notes = footnotesOf(procedure);
  const changes = changesSince(program, procedure, options.since);
  const source = blockSource(program, procedure, system, readAs, (step) =>
    marksOf(step, changes, notes.marks, options),
  );
  const written = blocksOf(source, procedure.steps);
  const blocks = readAs === "flow" ? flowBlocks(source, procedure.steps, written) : written;
  return cleanDocument({
    ...headOf(program, procedure, system, source),
    readAs,
    draft: options.draft ?? false,
    ...(options.since ? { since: options.since.procedures.get(procedure.id)?.revision?.number ?? "" } : {}),
    blocks,
    inForce: stillForbidden(source, procedure.steps),
    footnotes: notes.list,
    keys: keysOf(blocks, procedure, options.since?.procedures.get(procedure.id)?.revision?.number),
  });
}

function headOf(program: Program, procedure: Procedure, system: System, source: BlockSource) {
  const { revision, summary, useWhen, next, startsOn } = procedure;
  return {
    id: procedure.id,
    title: procedure.title,
    system: system.title,
    project: program.project.title,
    category: procedure.category,
    language: "en",
    crew: rolesOf(procedure),
    begins: procedure.begins.map((condition) => sentenceOf({ ...source, tellsHow: () => false }, condition)),
    cautions: isFictional(program, system) ? [FICTIONAL, CAUTION] : [CAUTION],
    span: procedure.span,
    ...(revision ? { revision } : {}),
    ...(summary ? { summary } : {}),
    ...(useWhen ? { useWhen } : {}),
    ...(procedure.reader ? { reader: source.markOf(procedure.reader) } : {}),
    ...(startsOn
      ? {
          startsOn: {
            ...(startsOn.text ? { text: startsOn.text } : {}),
            lamps: startsOn.lights.map((light) => lampOf(system, light)),
          },
        }
      : {}),
    ...(next ? { next: referenceTo(program, next.procedure) } : {}),
  };
}

function isFictional(program: Program, system: System): boolean {
  return /\bfictional\b/i.test(`${program.project.title} ${system.title}`);
}

function rolesOf(procedure: Procedure): readonly Role[] {
  const marks = roleMarks(procedure);
  return [...procedure.crew].map(([id, title]) => ({ mark: marks.get(id) ?? id, title }));
}

function marksOf(step: Step, changes: Changes, footnotes: ReadonlyMap<string, string>, options: CardOptions): Marks {
  const footnote = footnotes.get(step.name);
  return {
    changed: changes.changed.has(step.name),
    removedBefore: changes.removedBefore.has(step.name),
    killer: step.critical || (options.killers?.has(step.name) ?? false),
    ...(footnote ? { footnote } : {}),
  };
}

/** Prohibitions that nothing on the card ends; one on a way that was not taken was never given. */
function stillForbidden(source: BlockSource, steps: readonly Step[]): readonly string[] {
  return everyStep(steps).flatMap((step) =>
    step.kind === "prohibit"
      ? [`${capitalised(prohibition(source, step))} (line ${source.numberOf(step.name) ?? step.number})`]
      : [],
  );
}
