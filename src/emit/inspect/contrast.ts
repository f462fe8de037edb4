import { type FindingKind, finding } from "../../diagnostics/finding.js";
import type { Mark, TextMark } from "../drawing/marks.js";
import { contrast } from "../layout/contrast.js";
import { DRAFT_GREY } from "../layout/draft.js";
import type { Page } from "../layout/page.js";
import { type Check, cardsOf, type Inspected, pagesOf, placeOf } from "./context.js";
import { printed, STEPS } from "./example.js";

export const CONTRAST: FindingKind = {
  code: "card/contrast",
  severity: "warning",
  summary: "Text on a printed card stands out too little from what is under it.",
  why:
    "Text needs a contrast of 4.5 to 1, and 3 to 1 from 18 pt, or 14 pt bold, upwards (WCAG 2). Black is read best on white or yellow paper, and badly on " +
    "dark red, green or blue. Based on NASA CR-177605 and CAP 676, as quoted elsewhere.",
  bad: printed('{ stock: "#8a2020" }', STEPS),
  good: printed("{ stock: yellow }", STEPS),
};

/** P4 and P10: every text against the shape that lies under it, or the paper; once for each card, the worst of it. */
export const checkContrast: Check = (inspected) => {
  const { program, pages, settings } = inspected;
  return cardsOf(pages).flatMap((card) => {
    const worst = pagesOf(pages, card)
      .flatMap((page) => measured(page, inspected))
      .filter(({ ratio, needed }) => ratio < needed)
      .sort((a, b) => a.ratio - b.ratio)[0];
    const place = placeOf(program, card, worst?.step);
    if (!worst || !place) return [];
    const message = `\`${worst.text}\` is printed ${worst.fill} on ${worst.under}: a contrast of ${worst.ratio.toFixed(2)} to 1, where ${worst.needed} is needed`;
    const help = [
      settings.stock === "#ffffff"
        ? "this is a fault of the layout: please report it"
        : "print on white or yellow paper: change `stock`",
    ];
    return [finding(CONTRAST, place.at, message, { help, subject: place.subject })];
  });
};

interface Measured {
  readonly text: string;
  readonly fill: string;
  readonly under: string;
  readonly ratio: number;
  readonly needed: number;
  readonly step?: string;
}

/** White is never printed: it is the paper. */
function measured(page: Page, { settings, measure }: Inspected): readonly Measured[] {
  const ink = (colour: string) => (colour.toLowerCase() === "#ffffff" ? settings.stock : colour.toLowerCase());
  const shapes: Mark[] = [];
  const found: Measured[] = [];
  const look = (mark: Mark, step: string | undefined) => {
    if (mark.kind === "group") for (const inner of mark.marks) look(inner, step);
    else if (mark.kind === "text") {
      const middle = { x: mark.x + measure.width(mark.text, mark.face, mark.size) / 2, y: mark.y - mark.size * 0.35 };
      const shape = shapes.findLast((candidate) => covers(candidate, middle.x, middle.y));
      const under = ink(shape && "fill" in shape && shape.fill ? shape.fill : draftOf(page));
      const ratio = contrast(ink(mark.fill), under);
      found.push({
        text: mark.text,
        fill: ink(mark.fill),
        under,
        ratio,
        needed: neededFor(mark),
        ...(step ? { step } : {}),
      });
    } else if (mark.fill) shapes.push(mark);
  };
  for (const content of page.contents) for (const mark of content.marks) look(mark, content.step);
  return found;
}

/** Where DRAFT goes across the page, any text may lie on it. */
function draftOf(page: Page): string {
  return page.contents.some((content) => content.purpose === "draft") ? DRAFT_GREY : "#ffffff";
}

function neededFor(mark: TextMark): number {
  return mark.size >= 18 || (mark.face === "bold" && mark.size >= 14) ? 3 : 4.5;
}

function covers(mark: Mark, x: number, y: number): boolean {
  if (mark.kind === "rect") return x >= mark.x && x <= mark.x + mark.width && y >= mark.y && y <= mark.y + mark.height;
  if (mark.kind === "circle") return Math.hypot(x - mark.x, y - mark.y) <= mark.radius;
  return false;
}
