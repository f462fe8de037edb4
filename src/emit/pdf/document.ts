import PDFDocument from "pdfkit";
import type { FaceBytes } from "../drawing/measure.js";
import type { Book } from "../layout/book.js";
import { FaceBook } from "./faces.js";
import { PageWriter } from "./page.js";
import { StructureWriter } from "./structure.js";

/** No card is dated: a fixed day, so that the same input gives the same bytes. */
const UNDATED = "2000-01-01";

/**
 * The pages as one PDF file: tagged in reading order, with language, title, outline, links and embedded subsets of the faces.
 * Streams are not compressed: what a compressor makes of them differs between machines. No claim of PDF/UA is made.
 */
export function pdfOf(book: Book, bytes: FaceBytes): Promise<Uint8Array> {
  const date = new Date(`${book.date ?? UNDATED}T00:00:00Z`);
  const document = new PDFDocument({
    autoFirstPage: false,
    bufferPages: true,
    compress: false,
    pdfVersion: "1.6",
    tagged: true,
    lang: book.language,
    displayTitle: true,
    info: {
      Title: book.title,
      Subject: book.subject,
      Creator: "proofcard",
      Producer: "proofcard",
      CreationDate: date,
      ModDate: date,
    },
  });
  const finished = collected(document);
  const faces = new FaceBook(document, bytes);
  const structure = new StructureWriter(document);
  const writer = new PageWriter(document, faces, structure);
  for (const page of book.pages) writer.add(page);
  structure.end(book.structure);
  for (const entry of book.outline) addOutline(document, entry);
  document.end();
  return finished;
}

type Outlined = PDFKit.PDFOutline & { addItem(title: string, options: { pageNumber: number }): PDFKit.PDFOutline };

function addOutline(document: PDFKit.PDFDocument, entry: Book["outline"][number]): void {
  (document.outline as Outlined).addItem(entry.title, { pageNumber: entry.page });
}

function collected(document: PDFKit.PDFDocument): Promise<Uint8Array> {
  return new Promise((resolve, reject) => {
    const chunks: Buffer[] = [];
    document.on("data", (chunk: Buffer) => chunks.push(chunk));
    document.on("end", () => resolve(new Uint8Array(Buffer.concat(chunks))));
    document.on("error", reject);
  });
}
