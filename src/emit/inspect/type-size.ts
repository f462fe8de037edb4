import { type FindingKind, finding } from "../../diagnostics/finding.js";
import type { Mark, TextMark } from "../drawing/marks.js";
import { leastSizes } from "../layout/profile.js";
import { type Check, cardsOf, pagesOf, placeOf } from "./context.js";
import { printed, STEPS } from "./example.js";

export const TYPE_TOO_SMALL: FindingKind = {
  code: "card/type-too-small",
  severity: "warning",
  summary: "Type on a printed card is smaller than its reading distance allows.",
  why:
    "Read at 600 mm, nothing on a card should stand under 10 pt and no heading under 12 pt. Based on CAP 676 chapter 7, as quoted elsewhere; " +
    "other distances are held to the same visual angle.",
  bad: printed("{ profile: 8 pt at 600 mm }", STEPS),
  good: printed("{ profile: 12 pt at 600 mm }", STEPS),
};

/** Rounding of sizes that were computed, in points. */
const SLACK = 0.01;

/** P1: measured on every text that was drawn, once for each card. */
export const checkTypeSize: Check = ({ program, pages, settings }) => {
  const least = leastSizes(settings.profile.distance);
  return cardsOf(pages).flatMap((card) => {
    const texts = pagesOf(pages, card).flatMap((page) =>
      page.contents.flatMap((content) =>
        content.marks.flatMap(textsIn).map((mark) => ({ mark, heading: content.purpose === "heading" })),
      ),
    );
    const wrong = texts.filter(({ mark, heading }) => mark.size < (heading ? least.heading : least.text) - SLACK);
    const place = placeOf(program, card, undefined);
    const [first] = [...wrong].sort((a, b) => a.mark.size - b.mark.size);
    if (!first || !place) return [];
    const message = `${first.heading ? "a heading" : "type"} of ${points(first.mark.size)} pt is too small to be read at ${settings.profile.distance} mm`;
    const help = [
      `print at least ${points(least.text)} pt, and headings at ${points(least.heading)} pt: set \`profile\` to arm-length, or to a nearer distance`,
    ];
    return [finding(TYPE_TOO_SMALL, place.at, message, { help, subject: place.subject })];
  });
};

export function textsIn(mark: Mark): readonly TextMark[] {
  return mark.kind === "text" ? [mark] : mark.kind === "group" ? mark.marks.flatMap(textsIn) : [];
}

function points(size: number): string {
  return String(Math.round(size * 10) / 10);
}
