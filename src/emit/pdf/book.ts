import type { CardDocument } from "../card/content.js";
import { type FaceBytes, measureOf } from "../drawing/measure.js";
import { type BookOptions, layoutBook } from "../layout/book.js";
import { sheetsOf } from "../layout/impose.js";
import type { Paper } from "../layout/paper.js";
import { pdfOf } from "./document.js";

export interface PdfOptions extends Omit<BookOptions, "measure"> {
  readonly faces: FaceBytes;
  /** Several pages up on a sheet that is cut apart; pages that do not fit it are printed one by one. */
  readonly sheet?: { readonly paper: Paper; readonly up: 2 | 4 };
}

/** Cards as one PDF file, ready to be written. Without `matter` the cards alone; same input, same bytes. */
export function pdfBook(documents: readonly CardDocument[], options: PdfOptions): Promise<Uint8Array> {
  const book = layoutBook(documents, { ...options, measure: measureOf(options.faces) });
  const sheets = options.sheet && sheetsOf(book, options.sheet.paper, options.sheet.up);
  return pdfOf(sheets ?? book, options.faces);
}
