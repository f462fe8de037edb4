import type { Step } from "../../program/procedure.js";
import type { Block, Group, Section, StepBlock } from "./content.js";
import { type LineSource, pair } from "./lines.js";
import { everyStep } from "./walk.js";

/**
 * A flow is done from memory, panel by panel: neighbouring steps on one panel stand under its name, in the order in which they
 * are done. The check that follows it, challenge and response, repeats the lines that must not have been left out.
 */
export function flowBlocks(source: LineSource, steps: readonly Step[], written: readonly Block[]): readonly Block[] {
  const panels = new Map(everyStep(steps).map((step) => [step.name, panelOf(source, step)]));
  const followUp = followUpOf(written);
  return [...byPanel(source, panels, written), ...(followUp ? [followUp] : [])];
}

function byPanel(
  source: LineSource,
  panels: ReadonlyMap<string, string | undefined>,
  blocks: readonly Block[],
): readonly Block[] {
  const result: Block[] = [];
  for (const block of blocks) {
    if (block.kind === "section") result.push({ ...block, blocks: byPanel(source, panels, block.blocks) });
    else if (block.kind === "step") addStep(source, result, block, panels.get(block.name));
    else result.push(block);
  }
  return result;
}

function addStep(source: LineSource, result: Block[], block: StepBlock, panel: string | undefined): void {
  const title = panel && (source.system.panels.get(panel)?.title ?? panel);
  const last = result.at(-1);
  if (!title) result.push(block);
  else if (last?.kind === "group" && last.style === "panel" && last.word === title)
    result[result.length - 1] = { ...last, blocks: [...last.blocks, block] };
  else result.push({ kind: "group", style: "panel", word: title, text: "", boxes: 0, blocks: [block] } satisfies Group);
}

/** The panel that all the things of a step sit on, if it is one. */
function panelOf(source: LineSource, step: Step): string | undefined {
  const { controls, lights } = source.system;
  const found = new Set<string | undefined>();
  if (step.kind === "set" || step.kind === "verify" || step.kind === "press" || step.kind === "hold") {
    for (const move of step.moves) for (const control of move.controls) found.add(panelOfControl(source, control));
  }
  if (step.kind === "observe") {
    for (const light of step.lights)
      found.add(lights.get(light)?.panel ?? controls.get(lights.get(light)?.in ?? "")?.panel);
  }
  return found.size === 1 ? [...found][0] : undefined;
}

/** A guard sits where its control does. */
function panelOfControl(source: LineSource, id: string): string | undefined {
  const { controls } = source.system;
  const control = controls.get(id);
  return control?.panel ?? controls.get(control?.guards?.control ?? "")?.panel;
}

function followUpOf(written: readonly Block[]): Section | undefined {
  const blocks = killerBlocks(written);
  if (blocks.length === 0) return undefined;
  return {
    kind: "section",
    name: "follow-up",
    letter: "",
    title: "Then check, from the card",
    by: [],
    marks: { changed: false, removedBefore: false, killer: false },
    alerts: [],
    blocks,
  };
}

function killerBlocks(blocks: readonly Block[]): readonly StepBlock[] {
  return blocks.flatMap((block): readonly StepBlock[] => {
    if (block.kind !== "step") return killerBlocks(block.blocks);
    const inner = killerBlocks(block.after);
    const lines = block.lines.flatMap((line) =>
      line.kind === "pair" ? [{ ...pair(line.challenge, line.response), joined: line.joined }] : [],
    );
    if (!block.marks.killer || lines.length === 0) return inner;
    return [
      {
        ...block,
        name: `${block.name}/follow-up`,
        alerts: [],
        lines,
        after: [],
        marks: { ...block.marks, changed: false, removedBefore: false },
      },
      ...inner,
    ];
  });
}
