import { type FindingKind, finding } from "../../diagnostics/finding.js";
import type { Span } from "../../source/file.js";
import type { Check, Inspected } from "./context.js";
import { printed, STEPS } from "./example.js";

export const UNKNOWN_SETTING: FindingKind = {
  code: "card/unknown-setting",
  severity: "error",
  summary: "A setting of `cards` in the project is none that can be printed.",
  why: "A card that is printed on another paper, or at another size, than was meant is found out on board.",
  bad: printed("{ paper: A9 }", STEPS),
  good: printed("{ paper: A6 }", STEPS),
};

export const DOES_NOT_FIT_SHEET: FindingKind = {
  code: "card/does-not-fit-sheet",
  severity: "error",
  summary: "As many cards as were asked for do not fit on the sheet.",
  why: "Cards are never made smaller to fit a sheet, since their type was chosen for a reading distance; they are printed one by one instead.",
  bad: printed("{ paper: A5, sheet: 4 on A4 }", STEPS),
  good: printed("{ paper: A5, sheet: 2 on A4 landscape }", STEPS),
};

/** What the project wrote about its cards and nobody can print. */
export const checkSettings: Check = (inspected) => {
  const at = placeOfSettings(inspected);
  if (!at) return [];
  return inspected.settings.unknown.map(({ key, text, known }) =>
    finding(UNKNOWN_SETTING, at, `\`${key}: ${text}\` is nothing that cards can be printed by`, {
      help: [`what is known: ${known}`],
    }),
  );
};

export const checkSheet: Check = (inspected) => {
  const at = placeOfSettings(inspected);
  const { sheet, paper } = inspected.settings;
  if (!at || !sheet) return [];
  const fits = (columns: number, rows: number) =>
    paper.width * columns <= sheet.paper.width + 0.2 && paper.height * rows <= sheet.paper.height + 0.2;
  if (sheet.up === 4 ? fits(2, 2) : fits(2, 1) || fits(1, 2)) return [];
  const message = `${sheet.up} cards of ${paper.name} do not fit on ${sheet.paper.name}`;
  return [
    finding(DOES_NOT_FIT_SHEET, at, message, {
      help: ["take a larger sheet, turn it (`A4 landscape`), or print fewer on one"],
    }),
  ];
};

function placeOfSettings({ program }: Inspected): Span | undefined {
  return program.project.cards.span ?? program.project.span ?? [...program.procedures.values()][0]?.span;
}
