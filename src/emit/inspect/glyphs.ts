import { type FindingKind, finding } from "../../diagnostics/finding.js";
import { type Check, cardsOf, type Inspected, pagesOf, placeOf } from "./context.js";
import { printed } from "./example.js";
import { textsIn } from "./type-size.js";

export const MISSING_GLYPH: FindingKind = {
  code: "card/missing-glyph",
  severity: "warning",
  summary: "A character cannot be printed: neither face of type has it.",
  why: "A question mark is printed in its place, and a reader cannot tell what stood there. The faces hold Latin, Greek and Cyrillic letters and the common signs.",
  bad: printed("", "  - set: { pump: on }\n    note: Spares are under 船首.\n"),
  good: printed("", "  - set: { pump: on }\n    note: Spares are under the foredeck, in Märta’s locker.\n"),
};

/** Every text that was drawn, once for each step. */
export const checkGlyphs: Check = (inspected) => {
  const { program, pages } = inspected;
  return cardsOf(pages).flatMap((card) => {
    const missing = new Map<string | undefined, Set<string>>();
    for (const content of pagesOf(pages, card).flatMap((page) => page.contents)) {
      const found = content.marks.flatMap(textsIn).flatMap((mark) => missingIn(mark.text, mark.face, inspected));
      if (found.length > 0) missing.set(content.step, new Set([...(missing.get(content.step) ?? []), ...found]));
    }
    return [...missing].flatMap(([step, characters]) => {
      const place = placeOf(program, card, step);
      if (!place) return [];
      const list = [...characters].sort();
      const message =
        list.length === 1
          ? `\`${list[0]}\` cannot be printed`
          : `\`${list.join("")}\`: these ${list.length} characters cannot be printed`;
      return [
        finding(MISSING_GLYPH, place.at, message, {
          help: ["write it in letters that the card's face has"],
          subject: place.subject,
        }),
      ];
    });
  });
};

function missingIn(text: string, face: "regular" | "bold" | "italic", { measure }: Inspected): readonly string[] {
  if (/^[\x20-\x7e]*$/.test(text)) return [];
  return measure.stretches(text, face).flatMap((stretch) => (stretch.from === "none" ? Array.from(stretch.text) : []));
}
