import type { Lane, Move, Step } from "../../program/procedure.js";
import type { Alert, Block, Group, GroupStyle, Marks, StepBlock } from "./content.js";
import { onlyOn } from "./fleet.js";
import { type LineSource, linesOf, pair } from "./lines.js";
import { durationOf, findThing, joinNames, joinWords, placardOf } from "./names.js";
import { capitalised, sentenceOf } from "./wording.js";

/** What blocks are made from besides the step: marks come from outside (change bars, foot notes, killer items). */
export interface BlockSource extends LineSource {
  /** Who is named on a line: nobody where the crew is one person, only those that the heading does not name, or everybody. */
  readonly named: "nobody" | "others" | "everybody";
  /** Marks that the heading above names. */
  readonly headed: readonly string[];
  readonly marksOf: (step: Step) => Marks;
}

/** The blocks of a list of steps, in order. */
export function blocksOf(source: BlockSource, steps: readonly Step[]): readonly Block[] {
  return steps.map((step) => blockOf(source, step));
}

function blockOf(source: BlockSource, step: Step): Block {
  if (step.kind === "section") {
    return {
      kind: "section",
      name: step.name,
      letter: step.number,
      title: step.title,
      by: source.named === "nobody" ? [] : step.by.map(source.markOf),
      marks: source.marksOf(step),
      alerts: alertsOf(step),
      blocks: blocksOf({ ...source, headed: step.by.map(source.markOf) }, step.steps),
    };
  }
  if (step.kind === "memory") {
    return { kind: "memory", name: step.name, alerts: alertsOf(step), blocks: blocksOf(source, step.steps) };
  }
  const only = onlyOn(source.system, [step.applies, ...fittings(source, step)]);
  const block: StepBlock = {
    kind: "step",
    name: step.name,
    number: step.number,
    by: marks(source, step),
    marks: source.marksOf(step),
    alerts: alertsOf(step),
    lines: linesOf(source, step),
    after: groupsOf(source, step),
    ...(only ? { only } : {}),
  };
  return block.lines.length > 0 ? block : { ...block, after: taggedFirst(block) };
}

/** The lead of the first group bears what a line would have borne; lanes name who works in them themselves. */
function taggedFirst(block: StepBlock): readonly Block[] {
  const [first, ...rest] = block.after;
  if (first?.kind !== "group") return block.after;
  const { footnote } = block.marks;
  const tags = {
    by: first.style === "lane" ? [] : block.by,
    ...(block.only ? { only: block.only } : {}),
    ...(footnote ? { footnote } : {}),
  };
  return [{ ...first, tags }, ...rest];
}

function marks(source: BlockSource, step: Step): readonly string[] {
  const own = step.by.map(source.markOf);
  if (source.named === "nobody") return [];
  return source.named === "others" && own.join() === source.headed.join() ? [] : own;
}

function alertsOf(step: Step): readonly Alert[] {
  const given: readonly (readonly [Alert["kind"], string | undefined])[] = [
    ["warning", step.warning],
    ["caution", step.caution],
    ["note", step.note],
  ];
  return given.flatMap(([kind, text]) => (text === undefined ? [] : [{ kind, text }]));
}

function fittings(source: BlockSource, step: Step) {
  if (step.kind !== "set" && step.kind !== "verify" && step.kind !== "press" && step.kind !== "hold") return [];
  const fitted = step.moves
    .flatMap((move) => move.controls)
    .map((control) => findThing(source.system, control)?.fitted);
  return fitted.some((condition) => condition === undefined) ? [] : fitted;
}

/** What hangs from a step: its branches, what is done meanwhile, its rounds. */
function groupsOf(source: BlockSource, step: Step): readonly Block[] {
  const make = (style: GroupStyle, word: string, text: string, steps: readonly Step[], boxes = 0): Group => ({
    kind: "group",
    style,
    word,
    text,
    boxes,
    blocks: blocksOf(source, steps),
  });
  const some = (style: GroupStyle, word: string, text: string, steps: readonly Step[]) =>
    steps.length > 0 ? [make(style, word, text, steps)] : [];
  switch (step.kind) {
    case "check":
      return some("branch", "If not:", "", step.ifNot);
    case "watch":
      return some("branch", "If it ceases:", "", step.ifNot);
    case "observe":
      return step.ifNot.map((way) =>
        way.light === undefined
          ? make("branch", "If any light differs:", "", way.steps)
          : make(
              "branch",
              "If",
              `${joinNames(source.system, [way.light], "and")} ${wrongState(step, way.light)}:`,
              way.steps,
            ),
      );
    case "wait-for":
      return [
        ...some("meanwhile", "Meanwhile:", "", step.steps),
        ...some("branch", `If not within ${durationOf(step.within ?? 0)}:`, "", step.ifNot),
      ];
    case "hold":
      return heldGroups(source, step, make);
    case "if":
      return [
        make("branch", "If", conditionText(source, step), step.then),
        ...some("branch", "If not:", "", step.else),
      ];
    case "decide":
      return step.ways.map((way) =>
        way.condition
          ? make("branch", "When", `${sentenceOf(source, way.condition)}:`, way.steps)
          : make("branch", "Otherwise:", "", way.steps),
      );
    case "choose":
      return step.options.map((option) => make("option", "", `${capitalised(option.title)}:`, option.steps, 1));
    case "repeat":
      return [make("loop", "Repeat", loopText(source, step), step.steps, step.times ?? 0)];
    case "together":
      return step.lanes.map((lane) => laneGroup(source, lane));
    case "perform":
      return step.target.kind === "part" ? [make("part", capitalised(step.target.title), "", step.steps)] : [];
    default:
      return [];
  }
}

/** What is wrong with a light: dark where it is listed, alight where it is not. */
function wrongState(step: Step & { readonly kind: "observe" }, light: string): string {
  const listed = step.lit.filter((expected) => expected.light === light);
  if (listed.length === 0) return "is lit";
  return listed.some((expected) => expected.when) ? "is not as listed" : "is not lit";
}

function laneGroup(source: BlockSource, lane: Lane): Group {
  const word = source.markOf(lane.by);
  const blocks = blocksOf({ ...source, headed: [word] }, lane.steps);
  return { kind: "group", style: "lane", word, text: "at the same time:", boxes: 0, blocks };
}

function conditionText(source: BlockSource, step: Step & { kind: "if" }): string {
  if (step.words && "text" in step.words) return "";
  return `${sentenceOf(source, step.condition)}:`;
}

function heldGroups(
  source: BlockSource,
  step: Step & { kind: "hold" },
  make: (style: GroupStyle, word: string, text: string, steps: readonly Step[]) => Group,
): readonly Block[] {
  const release = releaseBlock(source, step);
  if (step.steps.length === 0) return [release];
  const group = make("held", "While held:", "", step.steps);
  return [group, release];
}

/** The line that lets go: a held control is never left to the reader's memory. */
function releaseBlock(source: BlockSource, step: Step & { kind: "hold" }): StepBlock {
  const names = joinNames(
    source.system,
    step.moves.flatMap((move) => move.controls),
    "and",
  );
  const rests = new Set(step.moves.map((move) => restOf(source, move)).filter(Boolean));
  const rest = rests.size === 1 ? `, ${[...rests][0]}` : "";
  return {
    kind: "step",
    name: `${step.name}/release`,
    number: "",
    by: marks(source, step),
    marks: { changed: source.marksOf(step).changed, removedBefore: false, killer: false },
    alerts: [],
    lines: [pair(names, `LET GO${rest}`)],
    after: [],
  };
}

function restOf(source: BlockSource, move: Move): string {
  const control = source.system.controls.get(move.controls[0] ?? "");
  const rest = control?.springs.get(move.position);
  return control && rest && control.positions.length > 2 ? placardOf(source.system, control.id, rest) : "";
}

function loopText(source: BlockSource, step: Step & { kind: "repeat" }): string {
  const parts = [
    step.times === undefined ? "" : `${step.times} times`,
    step.every === undefined ? "" : `every ${durationOf(step.every)}`,
    step.until ? `until ${sentenceOf(source, step.until)}` : "",
  ].filter(Boolean);
  return `${joinWords(parts, "and").replaceAll(" and until", ", until")}:`;
}
