import type { Procedure } from "../../program/procedure.js";
import type { Block, Key, Marks, StepBlock } from "./content.js";

/** The meaning of the marks that occur on the card, in the order in which they are explained. */
export function keysOf(blocks: readonly Block[], procedure: Procedure, since: string | undefined): readonly Key[] {
  const steps = stepBlocks(blocks);
  const marks = [...steps.map((step) => step.marks), ...sectionMarks(blocks)];
  const has = (test: (mark: Marks) => boolean) => marks.some(test);
  const leads = new Set(
    steps.flatMap((step) => step.lines).map((line) => (line.kind === "pair" ? line.lead : undefined)),
  );
  const before = since ? ` since revision ${since}` : " since the last revision";
  const keys: readonly (readonly [boolean, Key])[] = [
    [has((mark) => mark.changed), { mark: "bar", text: `changed${before}` }],
    [has((mark) => mark.removedBefore), { mark: "removed", text: `a line was taken out here${before}` }],
    [
      has((mark) => mark.killer),
      { mark: "killer", text: "never leave this line out: nothing later on the card would show it" },
    ],
    [
      has((mark) => mark.footnote !== undefined),
      { mark: "footnote", text: `departs from ${baselineName(procedure)}: see the notes at the end` },
    ],
    [leads.has("verify"), { mark: "verify", text: "look, and make it so if it is not" }],
    [leads.has("check"), { mark: "check", text: "look, and touch nothing" }],
  ];
  return keys.filter(([used]) => used).map(([, key]) => key);
}

function baselineName(procedure: Procedure): string {
  const { baseline } = procedure;
  if (!baseline) return "the baseline";
  return [baseline.document, baseline.section ?? "", baseline.revision ? `revision ${baseline.revision}` : ""]
    .filter(Boolean)
    .join(" ");
}

/** Every step block with all that hang from it, in reading order. */
export function stepBlocks(blocks: readonly Block[]): readonly StepBlock[] {
  return blocks.flatMap((block) =>
    block.kind === "step" ? [block, ...stepBlocks(block.after)] : stepBlocks(block.blocks),
  );
}

function sectionMarks(blocks: readonly Block[]): readonly Marks[] {
  return blocks.flatMap((block) => (block.kind === "section" ? [block.marks, ...sectionMarks(block.blocks)] : []));
}
