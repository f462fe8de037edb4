import type { Finding, Subject } from "../../diagnostics/finding.js";
import type { Procedure } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";
import type { Span } from "../../source/file.js";
import { everyStep } from "../card/walk.js";
import type { Measure } from "../drawing/measure.js";
import type { Page } from "../layout/page.js";
import type { PrintSettings } from "../layout/settings.js";

/** What a check of finished pages looks at. Pages are as laid out, before they are put several up on a sheet. */
export interface Inspected {
  readonly program: Program;
  readonly pages: readonly Page[];
  readonly settings: PrintSettings;
  readonly measure: Measure;
}

/** One check: measures what was drawn. */
export type Check = (inspected: Inspected) => readonly Finding[];

/** The place of a step in its source, or of its procedure where the step is not known. */
export function placeOf(
  program: Program,
  card: string,
  step: string | undefined,
): { readonly at: Span; readonly subject: Subject } | undefined {
  const procedure = program.procedures.get(card);
  if (!procedure) return undefined;
  const found = step === undefined ? undefined : stepOf(procedure, step);
  return { at: found?.verb ?? procedure.span, subject: { procedure: card, ...(found ? { step: found.name } : {}) } };
}

/** The cards that the pages are of, in order. */
export function cardsOf(pages: readonly Page[]): readonly string[] {
  return [...new Set(pages.flatMap((page) => page.parts.map((part) => part.card)))].filter((card) => card !== "");
}

/** The pages of one card. */
export function pagesOf(pages: readonly Page[], card: string): readonly Page[] {
  return pages.filter((page) => page.parts.some((part) => part.card === card));
}

/** The pages of one card, apart for each time that it is printed: as a flow and as a list, say. */
export function printingsOf(pages: readonly Page[], card: string): readonly (readonly Page[])[] {
  const printings: Page[][] = [];
  for (const page of pagesOf(pages, card)) {
    if (page.parts.some((part) => part.card === card && part.number === 1)) printings.push([]);
    printings.at(-1)?.push(page);
  }
  return printings;
}

/** A line that lets go of a control, or repeats a step in the check of a flow, is called by the step that it was made from. */
function stepOf(procedure: Procedure, name: string) {
  const own = name.replace(/\/(release|follow-up)$/, "");
  return everyStep(procedure.steps).find((step) => step.name === own);
}
