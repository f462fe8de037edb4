import type { CardDocument } from "../card/content.js";
import type { Drawing } from "../drawing/marks.js";
import type { Measure } from "../drawing/measure.js";
import { type LayoutOptions, layoutCard } from "./card.js";
import { layoutFigure } from "./figure.js";
import type { Binding } from "./margins.js";
import { type EffectivePages, layoutMatter } from "./matter.js";
import type { Page } from "./page.js";
import type { Paper } from "./paper.js";
import type { Profile } from "./profile.js";
import { rootTag, type Tag } from "./structure.js";
import type { Tab } from "./tabs.js";

/** Laid-out pages with all that a file says about itself. */
export interface Book {
  readonly title: string;
  readonly subject: string;
  readonly language: string;
  /** The latest date of its revisions, `2026-10-02`. */
  readonly date?: string;
  readonly pages: readonly Page[];
  readonly structure: Tag;
  /** `page` counts from 0. */
  readonly outline: readonly OutlineEntry[];
}

export interface OutlineEntry {
  readonly title: string;
  readonly page: number;
  readonly inside: readonly OutlineEntry[];
}

export interface BookOptions {
  readonly measure: Measure;
  readonly paper: Paper;
  readonly profile: Profile;
  readonly title?: string;
  readonly binding?: Binding;
  readonly boxes?: boolean;
  /** With cover, indexes, list of effective pages, tabs and page numbers through the book; else the cards alone. */
  readonly matter?: boolean;
  /** Drawings that follow a card, by procedure. */
  readonly figures?: ReadonlyMap<string, readonly Drawing[]>;
}

/** What one laying out needs of the one before: on which page each card begins, and how many pages stand before the cards. */
interface Numbers {
  readonly starts: ReadonlyMap<string, number>;
  readonly front: number;
}

type Facts = Pick<Book, "title" | "subject" | "language" | "date">;

const ROUNDS = 5;

/**
 * Lays several cards out as a book. Page numbers in jumps and indexes depend on the layout and it, a little, on them: it is done again until
 * they agree; where they do not, jumps name the card alone rather than a page that may be wrong.
 */
export function layoutBook(documents: readonly CardDocument[], options: BookOptions): Book {
  const facts = factsOf(documents, options);
  let numbers: Numbers = {
    starts: new Map(documents.map((document) => [document.id, 99])),
    front: options.matter ? 3 : 0,
  };
  for (let round = 0; round < ROUNDS; round += 1) {
    const { book, found } = layOut(documents, options, facts, numbers, options.matter ?? false);
    if (agree(found, numbers) || !options.matter) return book;
    numbers = found;
  }
  return layOut(documents, options, facts, numbers, false).book;
}

function factsOf(documents: readonly CardDocument[], options: BookOptions): Facts {
  const [first] = documents;
  const dates = documents.flatMap(({ revision }) => revision?.effective ?? revision?.date ?? []);
  const date = dates
    .filter((text) => /^\d{4}-\d{2}-\d{2}$/.test(text))
    .sort()
    .at(-1);
  return {
    title: options.title ?? (documents.length === 1 ? first?.title : first?.project) ?? "",
    subject: [...new Set(documents.flatMap((document) => document.cautions))].join(" "),
    language: first?.language ?? "en",
    ...(date ? { date } : {}),
  };
}

function agree(one: Numbers, other: Numbers): boolean {
  return (
    one.front === other.front && [...one.starts].every(([procedure, page]) => other.starts.get(procedure) === page)
  );
}

/** One laying out, with the page numbers of the one before. */
function layOut(
  documents: readonly CardDocument[],
  options: BookOptions,
  facts: Facts,
  numbers: Numbers,
  naming: boolean,
): { book: Book; found: Numbers } {
  const pageOf = (procedure: string) => (naming ? numbers.starts.get(procedure)?.toString() : undefined);
  const { measure, paper, profile, binding = "left", boxes = false } = options;
  const base: LayoutOptions = { measure, paper, profile, binding, boxes, pageOf };
  const cards = layOutCards(documents, options, base, numbers.front);
  const structure = rootTag();
  const front = options.matter
    ? layoutMatter(
        { ...facts, date: facts.date, documents, effective: cards.effective },
        { ...base, inBook: { firstPage: 1 } },
        structure,
      )
    : [];
  structure.children.push(...cards.structure.children);
  const outline = cards.outline.map((entry) => shifted(entry, front.length));
  const book = { ...facts, pages: [...front, ...cards.pages], structure, outline };
  return { book, found: { starts: cards.starts, front: front.length } };
}

function shifted(entry: OutlineEntry, by: number): OutlineEntry {
  return { title: entry.title, page: entry.page + by, inside: entry.inside.map((inner) => shifted(inner, by)) };
}

interface Cards {
  readonly pages: readonly Page[];
  readonly structure: Tag;
  readonly outline: readonly OutlineEntry[];
  readonly starts: ReadonlyMap<string, number>;
  readonly effective: readonly EffectivePages[];
}

/** The cards one after the other, each with its drawings; `front` pages stand before them. */
function layOutCards(
  documents: readonly CardDocument[],
  options: BookOptions,
  base: LayoutOptions,
  front: number,
): Cards {
  const structure = rootTag();
  const categories = [...new Set(documents.map((document) => document.category))];
  const pages: Page[] = [];
  const outline: OutlineEntry[] = [];
  const starts = new Map<string, number>();
  const effective: EffectivePages[] = [];
  for (const document of documents) {
    const first = front + pages.length + 1;
    const tab: Tab = {
      letter: document.category.charAt(0).toUpperCase(),
      index: categories.indexOf(document.category),
      count: categories.length,
    };
    const inBook = options.matter ? { inBook: { firstPage: first, tab } } : {};
    const own = layoutCard(document, { ...base, ...inBook }, structure);
    outline.push({ title: document.title, page: pages.length, inside: sectionEntries(document, own, pages.length) });
    if (!starts.has(document.id)) starts.set(document.id, first);
    effective.push({ card: document, first, count: own.length });
    pages.push(...own);
    const last = documents.findLast((other) => other.id === document.id) === document;
    for (const drawing of last ? (options.figures?.get(document.id) ?? []) : []) {
      const figure = options.matter ? { inBook: { firstPage: front + pages.length + 1, tab } } : {};
      pages.push(layoutFigure(document, drawing, { ...base, ...figure }, structure));
    }
  }
  return { pages, structure, outline, starts, effective };
}

/** Sections of a card with the page on which their headings stand. */
function sectionEntries(document: CardDocument, pages: readonly Page[], before: number): readonly OutlineEntry[] {
  return document.blocks.flatMap((block): readonly OutlineEntry[] => {
    if (block.kind !== "section") return [];
    const page = pages.findIndex(({ contents }) =>
      contents.some((content) => content.purpose === "heading" && content.step === block.name),
    );
    return page < 0 ? [] : [{ title: `${block.letter} ${block.title}`.trim(), page: before + page, inside: [] }];
  });
}
