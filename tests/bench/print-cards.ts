import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { cardDocument } from "../../src/emit/card/document.js";
import { measureOf } from "../../src/emit/drawing/measure.js";
import { layoutBook } from "../../src/emit/layout/book.js";
import { paperOf } from "../../src/emit/layout/paper.js";
import { profileOf } from "../../src/emit/layout/profile.js";
import { pdfOf } from "../../src/emit/pdf/document.js";
import { loadFaces } from "../../src/workspace/fonts.js";
import { loadProgram } from "../support/load.js";

// A process of its own for the benchmark: prints so many pages of the cards of an example, again and again, and says what it took.

const [folder = "", wanted = "10", rounds = "0"] = process.argv.slice(2);
const paths = readdirSync(folder, { recursive: true, encoding: "utf8" })
  .filter((path) => path.endsWith(".yaml"))
  .sort();
const { program } = loadProgram(
  Object.fromEntries(paths.map((path) => [path, readFileSync(join(folder, path), "utf8")])),
);
const cards = [...program.procedures.values()].map((procedure) => cardDocument(program, procedure));
const faces = loadFaces();
const options = { measure: measureOf(faces), paper: paperOf("A5")!, profile: profileOf("arm-length")! };
const documents = [cards[0]!];
let book = layoutBook(documents, options);
const perCard = book.pages.length;
while (documents.length * perCard < Number(wanted))
  documents.push({ ...cards[documents.length % cards.length]!, id: `card-${documents.length}` });
book = layoutBook(documents, options);
while (book.pages.length < Number(wanted)) {
  documents.push({ ...cards[documents.length % cards.length]!, id: `card-${documents.length}` });
  book = layoutBook(documents, options);
}
const bytes = await pdfOf(book, faces);
const warm = Array.from({ length: Number(rounds) }, () => {
  const began = performance.now();
  for (const document of documents) layoutBook([document], options);
  return (performance.now() - began) / book.pages.length;
}).sort((a, b) => a - b);
console.log(
  JSON.stringify({
    pages: book.pages.length,
    bytes: bytes.length,
    megabytes: process.resourceUsage().maxRSS / 1024,
    warm: warm[Math.floor(warm.length / 2)],
  }),
);
