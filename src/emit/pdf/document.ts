import PDFDocument from "pdfkit";
import type { FaceBytes } from "../drawing/measure.js";
import type { Book, OutlineEntry } from "../layout/book.js";
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
  escapeMetadata(document);
  const finished = collected(document);
  const faces = new FaceBook(document, bytes);
  const structure = new StructureWriter(document);
  const writer = new PageWriter(document, faces, structure);
  for (const page of book.pages) writer.add(page);
  structure.end(book.structure, (procedure) => writer.holds(procedure));
  for (const entry of book.outline) addOutline(document.outline as unknown as Outlined, entry);
  document.end();
  return finished;
}

interface Outlined {
  addItem(title: string, options: { readonly pageNumber: number }): Outlined;
}

function addOutline(parent: Outlined, entry: OutlineEntry): void {
  const item = parent.addItem(entry.title, { pageNumber: entry.page });
  for (const inner of entry.inside) addOutline(item, inner);
}

/** The library sets titles into its XML metadata as they are: an ampersand in one would break the whole. */
function escapeMetadata(document: PDFKit.PDFDocument): void {
  const open = document as unknown as { info: Record<string, unknown>; _addInfo(): void };
  const add = open._addInfo.bind(document);
  open._addInfo = () => {
    const { info } = open;
    open.info = Object.fromEntries(
      Object.entries(info).map(([key, value]) => [key, typeof value === "string" ? escapeXml(value) : value]),
    );
    add();
    open.info = info;
  };
}

function escapeXml(text: string): string {
  return text.replaceAll("&", "&amp;").replaceAll("<", "&lt;").replaceAll(">", "&gt;");
}

function collected(document: PDFKit.PDFDocument): Promise<Uint8Array> {
  return new Promise((resolve, reject) => {
    const chunks: Buffer[] = [];
    document.on("data", (chunk: Buffer) => chunks.push(chunk));
    document.on("end", () => resolve(new Uint8Array(Buffer.concat(chunks))));
    document.on("error", reject);
  });
}
