import type { Finding } from "../diagnostics/finding.js";
import type { CardDocument } from "../emit/card/content.js";
import { cardDocument } from "../emit/card/document.js";
import { type Diagram, type DiagramFile, type DiagramOptions, diagramFiles, diagramPages } from "../emit/diagrams.js";
import type { Drawing } from "../emit/drawing/marks.js";
import { type FaceBytes, measureOf } from "../emit/drawing/measure.js";
import type { Reliances } from "../emit/graph/reliance.js";
import { fileOf } from "../emit/html/blocks.js";
import { htmlCard } from "../emit/html/card.js";
import { faceAddresses, fontStyle, type WebFaces } from "../emit/html/faces.js";
import { type IndexEntry, type IndexFile, indexPage } from "../emit/index-page.js";
import { inspectPages } from "../emit/inspect/inspect.js";
import { type Book, layoutBook } from "../emit/layout/book.js";
import { sheetsOf } from "../emit/layout/impose.js";
import { marginsOf } from "../emit/layout/margins.js";
import { type PrintSettings, printSettings } from "../emit/layout/settings.js";
import { pdfOf } from "../emit/pdf/document.js";
import { textCard } from "../emit/text/card.js";
import type { Procedure, ReadAs } from "../program/procedure.js";
import type { Program } from "../program/program.js";
import { CannotWork } from "../workspace/host.js";
import type { OutputFile } from "./write-files.js";

export interface CardsOptions {
  readonly faces: FaceBytes;
  /** Carried inside the pages. */
  readonly webFaces: WebFaces;
  /** An earlier state of the project: lines that differ from it get a bar. */
  readonly since?: Program;
  /** DRAFT goes across every page. */
  readonly draft: boolean;
  /** In place of the project's. */
  readonly paper?: string;
  /** Pictures to draw of each procedure. */
  readonly diagrams: readonly Diagram[];
  /** Names of the lines that must never be left out, where they are asked for. */
  readonly killersOf?: (program: Program, procedure: Procedure) => ReadonlySet<string>;
  /** What relies on what in a procedure, asked where the graph is drawn. */
  readonly reliancesOf: (program: Program, procedure: Procedure) => Reliances;
}

/** Cards set in type and measured, not yet written. */
export interface Cards {
  readonly program: Program;
  readonly settings: PrintSettings;
  readonly printed: readonly PrintedCard[];
  /** What is wrong with the pages as drawn. */
  readonly findings: readonly Finding[];
  readonly options: CardsOptions;
}

interface PrintedCard {
  /** Of its file names; made from the id alone. */
  readonly stem: string;
  readonly procedure: Procedure;
  /** One for each way in which it is read. */
  readonly ways: readonly Way[];
}

interface Way {
  readonly stem: string;
  readonly document: CardDocument;
  readonly book: Book;
}

/** Sets the cards of these procedures in type, and measures the finished pages. Throws `CannotWork` for a paper that is none. */
export function setCards(program: Program, procedures: readonly Procedure[], options: CardsOptions): Cards {
  const measure = measureOf(options.faces);
  const settings = settingsOf(program, options);
  const printed = procedures.map((procedure): PrintedCard => {
    const stem = fileOf(procedure.id).replace(/\.html$/, "");
    const killers = options.killersOf?.(program, procedure);
    const ways = readingWays(procedure).map((readAs, index): Way => {
      const document = cardDocument(program, procedure, { ...options, readAs, ...(killers && { killers }) });
      const book = layoutBook([document], { ...settings, measure });
      return { stem: index === 0 ? stem : `${stem}.${readAs}`, document, book };
    });
    return { stem, procedure, ways };
  });
  const pages = printed.flatMap(({ ways }) => ways.flatMap(({ book }) => book.pages));
  return { program, settings, printed, findings: inspectPages({ program, pages, settings, measure }), options };
}

/** The first is the one that other cards lead to. */
function readingWays({ readAs }: Procedure): readonly ReadAs[] {
  return readAs.length > 0 ? readAs : ["read-and-do"];
}

function settingsOf(program: Program, { paper }: CardsOptions): PrintSettings {
  const settings = printSettings(paper === undefined ? program.project.cards : { ...program.project.cards, paper });
  const unknown = paper === undefined ? undefined : settings.unknown.find(({ key }) => key === "paper");
  if (unknown)
    throw new CannotWork(`\`${paper}\` is no paper that cards can be printed on`, `what is known: ${unknown.known}`);
  return settings;
}

/**
 * Every file of the cards: `cards/` holds each as PDF, HTML and text, `diagrams/` its pictures; with `whole` also the page that leads to
 * all, the book, and the sheets that are cut apart where the project asks for them.
 */
export async function cardFiles(cards: Cards, { whole }: { readonly whole: boolean }): Promise<OutputFile[]> {
  const { printed, settings, options } = cards;
  refuseSameName(printed);
  const files: OutputFile[] = [];
  const style = { fontStyle: fontStyle(options.webFaces) };
  for (const { stem, document, book } of printed.flatMap(({ ways }) => ways)) {
    files.push({ name: `cards/${stem}.pdf`, content: await pdfOf(book, options.faces) });
    files.push({ name: `cards/${stem}.html`, content: htmlCard(document, style) });
    files.push({ name: `cards/${stem}.txt`, content: textCard(document) });
  }
  const pictured: Pictured[] = [];
  for (const card of printed) pictured.push(await picturesOf(cards, card, whole));
  files.push(...pictured.flatMap((one) => one.files.map(({ name, content }) => ({ name, content }))));
  if (!whole) return files;
  const figures = new Map(pictured.map(({ card, pages }) => [card.procedure.id, pages]));
  files.push({ name: "book.pdf", content: await pdfOf(bookOf(cards, figures), options.faces) });
  const { sheet } = settings;
  const sheets = sheet && sheetsOf(bookOf(cards), sheet.paper, sheet.up);
  if (sheets) files.push({ name: "sheets.pdf", content: await pdfOf(sheets, options.faces) });
  files.push({ name: "index.html", content: indexPage(indexOf(cards, pictured, sheets !== undefined)) });
  return files;
}

/** What was drawn of one procedure: files for a screen, and pages for the book. */
interface Pictured {
  readonly card: PrintedCard;
  readonly files: readonly (DiagramFile & OutputFile)[];
  readonly pages: readonly Drawing[];
}

/** The pages are of the book's own size. */
async function picturesOf(cards: Cards, card: PrintedCard, whole: boolean): Promise<Pictured> {
  const { program, settings, options } = cards;
  const { procedure, ways, stem } = card;
  const { diagrams } = options;
  const { paper, binding, profile } = settings;
  const drawn: DiagramOptions = {
    measure: measureOf(options.faces),
    cautions: ways[0]?.document.cautions ?? [],
    draft: options.draft,
    fontStyle: fontStyle(options.webFaces),
    faces: faceAddresses(options.webFaces),
    ...(diagrams.includes("graph") && { reliances: options.reliancesOf(program, procedure) }),
  };
  const margins = marginsOf(paper, binding, 1);
  const margin = Math.max(margins.left, margins.top);
  const sheet = { ...drawn, paper: { width: paper.width, height: paper.height, margin }, size: profile.small };
  const files = await diagramFiles(program, procedure, diagrams, drawn);
  return {
    card,
    files: files.map((file) => ({ ...file, name: `diagrams/${stem}${file.ending}` })),
    pages: whole ? await diagramPages(program, procedure, diagrams, sheet) : [],
  };
}

/** All cards in one; with `figures` also cover, indexes, effective pages, and the pictures behind each card. */
function bookOf(cards: Cards, figures?: ReadonlyMap<string, readonly Drawing[]>): Book {
  const { program, printed, settings, options } = cards;
  return layoutBook(
    printed.flatMap(({ ways }) => ways.map(({ document }) => document)),
    {
      ...settings,
      measure: measureOf(options.faces),
      title: program.project.title,
      matter: figures !== undefined,
      ...(figures && { figures }),
    },
  );
}

/** Two ids that differ only in a sign that file names do not carry. */
function refuseSameName(printed: readonly PrintedCard[]): void {
  const seen = new Map<string, string>();
  for (const { stem, procedure } of printed) {
    const other = seen.get(stem);
    if (other)
      throw new CannotWork(`\`${other}\` and \`${procedure.id}\` would be written to one file`, "rename one of them");
    seen.set(stem, procedure.id);
  }
}

function indexOf(
  { program, printed, options }: Cards,
  pictured: readonly Pictured[],
  sheets: boolean,
): Parameters<typeof indexPage>[0] {
  const book: IndexFile[] = [{ label: "book", path: "book.pdf" }];
  return {
    title: program.project.title,
    draft: options.draft,
    cautions: [...new Set(printed.flatMap(({ ways }) => ways.flatMap(({ document }) => document.cautions)))],
    entries: pictured.map(({ card, files }) => entryOf(card, files)),
    files: sheets ? [...book, { label: "sheets", path: "sheets.pdf" }] : book,
  };
}

function entryOf({ procedure, ways }: PrintedCard, pictures: Pictured["files"]): IndexEntry {
  const system = ways[0]?.document.system ?? "";
  const { id, title, category, revision, useWhen } = procedure;
  const cards = ways.flatMap((way): readonly IndexFile[] => {
    const as = ways.length > 1 ? ` (${way.document.readAs})` : "";
    return [
      { label: `PDF${as}`, path: `cards/${way.stem}.pdf` },
      { label: `page${as}`, path: `cards/${way.stem}.html` },
      { label: `text${as}`, path: `cards/${way.stem}.txt` },
    ];
  });
  return {
    id,
    title,
    category,
    system,
    ...(revision && { revision: revision.number }),
    ...(revision?.effective && { effective: revision.effective }),
    ...(useWhen && { useWhen }),
    files: [...cards, ...pictures.map(({ label, name }) => ({ label, path: name }))],
  };
}
