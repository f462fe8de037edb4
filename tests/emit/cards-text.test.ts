import { describe, expect, it } from "vitest";
import { cardDocument } from "../../src/emit/card/document.js";
import { textCard } from "../../src/emit/text/card.js";
import { anserStart, programOf } from "../support/anser-program.js";

describe("textCard", () => {
  it("keeps to 80 columns, with the response at the right edge", () => {
    const card = anserStart();
    const text = textCard(cardDocument(programOf(card), card));
    for (const line of text.split("\n")) expect(line.length).toBeLessThanOrEqual(80);
    expect(text).toMatch(/^ {4}1 {2}GEN BREAKER \.+ verify OPEN$/m);
  });
});
