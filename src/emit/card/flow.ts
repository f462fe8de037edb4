import type { Step } from "../../program/procedure.js";
import type { Block, Group, Line, Section, StepBlock } from "./content.js";
import { type LineSource, pair } from "./lines.js";
import { joinWords } from "./names.js";
import { everyStep } from "./walk.js";

/**
 * A flow is done from memory, panel by panel: neighbouring steps on one panel stand under its name, in the order in which they
 * are done. The check that follows it, challenge and response, repeats the lines that must not have been left out.
 */
export function flowBlocks(source: LineSource, steps: readonly Step[], written: readonly Block[]): readonly Block[] {
  const places = new Map(everyStep(steps).map((step) => [step.name, placesOf(source, step)]));
  const followUp = followUpOf(written);
  return [...byPanel(places, written), ...(followUp ? [followUp] : [])];
}

/** Titles of the panels of a step, one for each of its lines where they come from different ones. */
type Places = readonly string[];

function byPanel(places: ReadonlyMap<string, Places>, blocks: readonly Block[]): readonly Block[] {
  const result: Block[] = [];
  for (const block of blocks) {
    if (block.kind === "section") result.push({ ...block, blocks: byPanel(places, block.blocks) });
    else if (block.kind === "step")
      for (const part of splitByPanel(block, places.get(block.name) ?? [])) addStep(result, part.block, part.title);
    else result.push(block);
  }
  return result;
}

/** What sits nowhere, such as something said, belongs to the panel at which the crew stands. */
function addStep(result: Block[], block: StepBlock, title: string): void {
  const last = result.at(-1);
  const here = last?.kind === "group" && last.style === "panel" ? last : undefined;
  if (here && (title === "" || title === here.word))
    result[result.length - 1] = { ...here, blocks: [...here.blocks, block] };
  else if (title === "") result.push(block);
  else result.push({ kind: "group", style: "panel", word: title, text: "", boxes: 0, blocks: [block] } satisfies Group);
}

/** A step whose lines come from several panels is cut where the panel changes; what hangs from it stays with the last part. */
function splitByPanel(
  block: StepBlock,
  titles: Places,
): readonly { readonly block: StepBlock; readonly title: string }[] {
  const different = [...new Set(titles)];
  if (different.length < 2 || titles.length !== block.lines.length)
    return [{ block, title: joinWords(different, "and") }];
  const parts: { block: StepBlock; title: string }[] = [];
  block.lines.forEach((line, index) => {
    const title = titles[index] ?? "";
    const last = parts.at(-1);
    if (last?.title === title) last.block = { ...last.block, lines: [...last.block.lines, line] };
    else parts.push({ title, block: partOf(block, line, parts.length) });
  });
  const end = parts.at(-1);
  if (end) end.block = { ...end.block, after: block.after };
  return parts;
}

function partOf(block: StepBlock, line: Line, index: number): StepBlock {
  const first = index === 0;
  const { footnote: _, ...marks } = block.marks;
  const rest = { ...marks, removedBefore: false };
  return {
    ...block,
    number: first ? block.number : "",
    alerts: first ? block.alerts : [],
    marks: first ? block.marks : rest,
    lines: [line],
    after: [],
  };
}

function placesOf(source: LineSource, step: Step): Places {
  const { controls, lights } = source.system;
  if (step.kind === "set" || step.kind === "verify" || step.kind === "press" || step.kind === "hold") {
    return step.moves.map((move) =>
      titleOf(source, joint(move.controls.map((control) => panelOfControl(source, control)))),
    );
  }
  if (step.kind !== "observe") return [];
  const panels = step.lights.map(
    (light) => lights.get(light)?.panel ?? controls.get(lights.get(light)?.in ?? "")?.panel,
  );
  return [...new Set(panels.map((panel) => titleOf(source, panel)))].filter((title) => title !== "");
}

/** The one panel of them all, if it is one. */
function joint(panels: readonly (string | undefined)[]): string | undefined {
  const different = new Set(panels);
  return different.size === 1 ? panels[0] : undefined;
}

function titleOf(source: LineSource, panel: string | undefined): string {
  return panel === undefined ? "" : (source.system.panels.get(panel)?.title ?? panel);
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
