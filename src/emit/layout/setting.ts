import type { Block, CardDocument, StepBlock } from "../card/content.js";
import { stepBlocks } from "../card/keys.js";
import type { Face } from "../drawing/marks.js";
import type { Measure } from "../drawing/measure.js";
import type { Profile } from "./profile.js";
import type { Style } from "./words.js";

/** What every part of a card's layout needs to know. */
export interface Setting {
  readonly measure: Measure;
  readonly profile: Profile;
  readonly document: CardDocument;
  /** Width of the text column in points; the grid of the leader dots is anchored at its right edge. */
  readonly width: number;
  /** Height between the margins, head and foot included. */
  readonly height: number;
  /** Boxes to tick at the right edge. */
  readonly boxes: boolean;
  /** Room for numbers and the marks before them by depth, so that challenges begin at the same place on every page. */
  readonly numbers: readonly number[];
  /** Room at the right edge for those who answer, in points. */
  readonly answerers: number;
  /** The printed page of another card in this book; undefined where it is not in it. */
  readonly pageOf: (procedure: string) => string | undefined;
}

/** A part of the text column. */
export interface Column {
  readonly x: number;
  readonly width: number;
}

export function settingOf(given: Omit<Setting, "answerers" | "numbers">): Setting {
  const widths = numberWidths(given, given.document.blocks, 0);
  return { ...given, answerers: answererWidth(given), numbers: widths };
}

/** Answers stand beside the response where one reads and another answers; else who does it stands first. */
export function answersAtRight(setting: Pick<Setting, "document">): boolean {
  return setting.document.readAs === "challenge-response";
}

export function body(setting: Setting, face: Face = "regular"): Style {
  return { face, size: setting.profile.body };
}

export function small(setting: Setting, face: Face = "regular"): Style {
  return { face, size: setting.profile.small };
}

/** Height of a line of type. */
export function lineHeight(setting: Setting, size = setting.profile.body): number {
  return size * setting.profile.leading;
}

/** The base line of a line of type from its top: capitals stand in the middle. */
export function baseLine(setting: Setting, size = setting.profile.body): number {
  return lineHeight(setting, size) / 2 + (setting.measure.capHeight("regular") * size) / 2;
}

export function markSize(setting: Pick<Setting, "profile">): number {
  return Math.max(setting.profile.small, setting.profile.body * 0.85);
}

function answererWidth(setting: Pick<Setting, "document" | "measure" | "profile">): number {
  if (!answersAtRight(setting)) return 0;
  const size = markSize(setting);
  const widths = stepBlocks(setting.document.blocks).map((step) =>
    answererMarks(step, (mark) => setting.measure.width(mark, "bold", size) + size),
  );
  return Math.max(0, ...widths);
}

/** By depth; depth grows with what is indented, and with the frame of memory items. */
function numberWidths(
  setting: Pick<Setting, "measure" | "profile">,
  blocks: readonly Block[],
  depth: number,
): readonly number[] {
  const found: number[] = [];
  const take = (at: number, width: number) => {
    for (let index = found.length; index <= at; index += 1) found.push(0);
    found[at] = Math.max(found[at] ?? 0, width);
  };
  const takeAll = (inner: readonly Block[], at: number) => {
    numberWidths(setting, inner, at).forEach((width, index) => {
      if (index >= at) take(index, width);
    });
  };
  for (const block of blocks) {
    if (block.kind === "section") takeAll(block.blocks, depth);
    else if (block.kind === "step") {
      take(depth, numberWidth(setting, block));
      takeAll(block.after, depth);
    } else takeAll(block.blocks, depth + 1);
  }
  return found;
}

function numberWidth({ measure, profile }: Pick<Setting, "measure" | "profile">, step: StepBlock): number {
  if (!step.number) return 0;
  const killer = step.marks.killer ? profile.body * 0.95 : 0;
  return (
    Math.max(measure.width(step.number, "regular", profile.body), profile.body * 1.3) + killer + profile.body * 0.6
  );
}

function answererMarks(step: StepBlock, width: (mark: string) => number): number {
  return step.by.reduce((sum, mark) => sum + width(mark), 0);
}
