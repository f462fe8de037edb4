import type { CardDocument } from "../../src/emit/card/content.js";
import { type CardOptions, cardDocument } from "../../src/emit/card/document.js";
import { measureOf } from "../../src/emit/drawing/measure.js";
import { type Book, type BookOptions, layoutBook } from "../../src/emit/layout/book.js";
import { paperOf } from "../../src/emit/layout/paper.js";
import { profileOf } from "../../src/emit/layout/profile.js";
import type { Procedure, Step } from "../../src/program/procedure.js";
import { loadFaces } from "../../src/workspace/fonts.js";
import { procedure, programOf } from "./anser-program.js";

export const faces = loadFaces();
export const measure = measureOf(faces);

/** The card of steps made by hand. */
export function cardOf(steps: readonly Step[], more: Partial<Procedure> = {}, options: CardOptions = {}): CardDocument {
  const made = procedure(steps, more);
  return cardDocument(programOf(made), made, options);
}

/** Pages at arm's length. */
export function pagesOf(
  documents: readonly CardDocument[],
  paper = "A5",
  more: Partial<BookOptions> & { profileName?: string } = {},
): Book {
  const { profileName = "arm-length", ...options } = more;
  return layoutBook(documents, {
    measure,
    paper: paperOf(paper) ?? fail(paper),
    profile: profileOf(profileName) ?? fail(profileName),
    ...options,
  });
}

function fail(name: string): never {
  throw new Error(`not known: ${name}`);
}
