import type { CardDocument, Lamp } from "../card/content.js";
import { readingWay } from "../card/head.js";
import { QUIET } from "../drawing/marks.js";
import { cardSetting, type LayoutOptions, layoutFlow } from "./card.js";
import { otherHead } from "./head.js";
import { lampMarks, lampSize } from "./lamp.js";
import type { Page } from "./page.js";
import { enclose, NEVER, type Piece, pieces, type Row, withFirst } from "./piece.js";
import { askAndAnswer, content, paragraph, withContents } from "./rows.js";
import { body, lineHeight, type Setting, small } from "./setting.js";
import { type Tag, tag } from "./structure.js";
import { type Word, wordOf, wordsOf } from "./words.js";

/** The pages of a card in the list of effective pages; all are of one revision, since a card is issued as a whole. */
export interface EffectivePages {
  readonly card: CardDocument;
  readonly first: number;
  readonly count: number;
}

/** What a book says about itself. */
export interface BookFacts {
  readonly title: string;
  readonly documents: readonly CardDocument[];
  /** The latest date of any revision. */
  readonly date: string | undefined;
  readonly effective: readonly EffectivePages[];
}

/** The pages before the cards: cover, index by category and by light, list of effective pages. */
export function layoutMatter(facts: BookFacts, options: LayoutOptions, root: Tag): readonly Page[] {
  const cover = matterPages(facts, options, root, facts.title, (setting, owner) => coverPieces(facts, setting, owner));
  const index = matterPages(facts, after(options, cover), root, "Index of cards", (setting, owner) =>
    indexPieces(facts, setting, owner),
  );
  const list = after(options, [...cover, ...index]);
  return [
    ...cover,
    ...index,
    ...matterPages(facts, list, root, "List of effective pages", (setting, owner) =>
      effectivePieces(facts, setting, owner),
    ),
  ];
}

function after(options: LayoutOptions, pages: readonly Page[]): LayoutOptions {
  return { ...options, inBook: { firstPage: pages.length + 1 } };
}

function matterPages(
  facts: BookFacts,
  options: LayoutOptions,
  root: Tag,
  title: string,
  fill: (setting: Setting, owner: Tag) => readonly Piece[],
): readonly Page[] {
  const setting = cardSetting(matterDocument(facts, title), options);
  const owner = tag(root, "Part", { title });
  const head = title === facts.title ? EMPTY : otherHead(setting, tag(owner, "H1"));
  return layoutFlow(setting, options, { flow: fill(setting, owner), head, owner });
}

/** A cover says its title itself. */
const EMPTY: Row = { height: 0, contents: [] };

/** A document without lines, so that the pages of a book have the head and foot of its cards. */
function matterDocument(facts: BookFacts, title: string): CardDocument {
  const [first] = facts.documents;
  return {
    id: "",
    title,
    system: "",
    project: facts.title,
    category: "",
    readAs: "read-and-do",
    language: first?.language ?? "en",
    draft: facts.documents.some((document) => document.draft),
    crew: [],
    begins: [],
    blocks: [],
    inForce: [],
    footnotes: [],
    keys: [],
    cautions: cautionsOf(facts),
    span: first?.span ?? { file: { path: "", text: "" }, start: 0, end: 0 },
    ...(facts.date ? { revision: { number: "", effective: facts.date } } : {}),
  };
}

/** Every caution of every card, in the order of the one that has most. */
function cautionsOf(facts: BookFacts): readonly string[] {
  return [
    ...new Set(
      [...facts.documents]
        .sort((a, b) => b.cautions.length - a.cautions.length)
        .flatMap((document) => document.cautions),
    ),
  ];
}

/** Points that the text of a cover takes about; what a page has more is free to stand above it. */
const COVER = 340;

function coverPieces(facts: BookFacts, setting: Setting, owner: Tag): readonly Piece[] {
  const { measure, profile } = setting;
  const systems = [...new Set(facts.documents.map((document) => document.system))];
  const say = (text: string, words: readonly Word[], before: number, role: "P" | "H1" = "P") =>
    text
      ? pieces(
          paragraph(
            setting,
            words,
            { x: 0, width: setting.width },
            { tag: tag(owner, role), purpose: "text" },
            { fit: "even" },
          ),
          { part: "lead", before },
        )
      : [];
  const title = wordsOf(measure, facts.title, { face: "bold", size: profile.heading * 1.8 });
  const cards = facts.documents.length === 1 ? "1 card" : `${facts.documents.length} cards`;
  const pad = profile.body * 0.8;
  const inner = { x: pad, width: setting.width - 2 * pad };
  const caution = cautionsOf(facts).flatMap((text) =>
    paragraph(setting, wordsOf(measure, text, body(setting, "bold")), inner, {
      tag: tag(owner, "P"),
      purpose: "alert",
    }),
  );
  return [
    spacer(Math.max(0, setting.height - COVER) * 0.28),
    ...say(facts.title, title, 0, "H1"),
    ...systems.flatMap((system, index) =>
      say(system, wordsOf(measure, system, body(setting)), profile.body * (index === 0 ? 1 : 0.2)),
    ),
    ...say(
      cards,
      wordsOf(
        measure,
        [cards, facts.date ? `latest revision effective ${facts.date}` : ""].filter(Boolean).join(", "),
        body(setting),
      ),
      profile.body,
    ),
    spacer(profile.body),
    ...enclose(pieces(caution, { part: "lead" }), { style: "memory", x: 0, width: setting.width, pad }),
  ];
}

function spacer(height: number): Piece {
  return {
    height,
    contents: [],
    before: 0,
    after: 0,
    penalty: 0,
    frames: [],
    part: "lead",
    changed: false,
    removedBefore: false,
  };
}

function indexPieces(facts: BookFacts, setting: Setting, owner: Tag): readonly Piece[] {
  const { effective } = facts;
  const categories = [...new Set(effective.map(({ card }) => card.category))].sort((a, b) => urgency(a) - urgency(b));
  const byCategory = categories.flatMap((category) => [
    ...headPieces(setting, owner, category.charAt(0).toUpperCase() + category.slice(1)),
    ...kept(
      effective
        .filter(({ card }) => card.category === category)
        .flatMap((pages) => entryPieces(facts, setting, owner, pages)),
    ),
  ]);
  const seen = effective.filter(
    ({ card }, index) => effective.findIndex((other) => other.card.id === card.id) === index,
  );
  const lamps = seen.flatMap((pages) => (pages.card.startsOn?.lamps ?? []).map((lamp) => ({ lamp, pages })));
  if (lamps.length === 0) return byCategory;
  return [
    ...byCategory,
    ...headPieces(setting, owner, "By the light you see"),
    ...kept(lamps.flatMap(({ lamp, pages }) => lampPieces(setting, owner, lamp, pages))),
  ];
}

/** A heading takes its first entry along. */
function kept(entries: readonly Piece[]): readonly Piece[] {
  return withFirst(entries, () => ({ penalty: NEVER }));
}

/** What cannot wait is found first; the rest stays in the order of the cards. */
function urgency(category: string): number {
  return category === "emergency" ? 0 : category === "abnormal" ? 1 : 2;
}

function headPieces(setting: Setting, owner: Tag, title: string): readonly Piece[] {
  const { measure, profile } = setting;
  const words = wordsOf(measure, title, { face: "bold", size: profile.heading });
  const rows = paragraph(setting, words, { x: 0, width: setting.width }, { tag: tag(owner, "H2"), purpose: "heading" });
  return pieces(rows, { part: "heading", before: profile.body, after: profile.body * 0.2 });
}

function entryPieces(
  facts: BookFacts,
  setting: Setting,
  owner: Tag,
  { card, first }: EffectivePages,
): readonly Piece[] {
  const { measure, profile } = setting;
  const challenge = [
    ...wordsOf(measure, card.title, body(setting)),
    ...wordsOf(measure, `(${nameOf(facts, card)})`, { ...small(setting), fill: QUIET }),
  ];
  return pieces(linkedRows(setting, owner, card.id, challenge, String(first), 0), {
    part: "line",
    before: profile.body * 0.25,
  });
}

/** The id, with the way of reading where a book holds the card in several. */
function nameOf({ effective }: BookFacts, card: CardDocument): string {
  const alone = effective.filter((other) => other.card.id === card.id).length === 1;
  return alone ? card.id : `${card.id}, ${readingWay(card)}`;
}

function lampPieces(setting: Setting, owner: Tag, lamp: Lamp, { card, first }: EffectivePages): readonly Piece[] {
  const { measure, profile } = setting;
  const size = lampSize(setting);
  const challenge = [
    ...wordsOf(measure, lamp.label, body(setting, "bold")),
    ...wordsOf(measure, card.title, body(setting)),
  ];
  const rows = linkedRows(setting, owner, card.id, challenge, String(first), size + profile.body * 0.5);
  const drawn = content(lampMarks(setting, lamp, size / 2, lineHeight(setting) / 2, size), {
    tag: tag(owner, "Span", { actual: lamp.colour ?? "light" }),
    purpose: "lamp",
  });
  return pieces(
    rows.map((row, index) => (index === 0 ? withContents(row, [drawn]) : row)),
    { part: "line", before: profile.body * 0.35 },
  );
}

function linkedRows(
  setting: Setting,
  owner: Tag,
  procedure: string,
  challenge: readonly Word[],
  page: string,
  x: number,
): readonly Row[] {
  const link = tag(tag(owner, "P"), "Link", { alt: `to ${procedure}` });
  const given = {
    challenge,
    response: wordsOf(setting.measure, page, body(setting, "bold")),
    challengeTag: link,
    responseTag: link,
    answerers: [],
  };
  const rows = askAndAnswer({ ...setting, boxes: false }, given, { x, width: setting.width - x });
  return rows.map((row) => {
    const [first, ...rest] = row.contents;
    const area = { procedure, x: 0, y: 0, width: setting.width, height: row.height };
    return first ? { ...row, contents: [{ ...first, link: area }, ...rest] } : row;
  });
}

function effectivePieces(facts: BookFacts, setting: Setting, owner: Tag): readonly Piece[] {
  const { measure, profile } = setting;
  return facts.effective.flatMap(({ card, first, count }) => {
    const line = tag(owner, "P");
    const { revision } = card;
    const issue = revision
      ? [`Revision ${revision.number}`, revision.effective ?? revision.date ?? ""].filter(Boolean).join(", ")
      : "No revision";
    const pages = count === 1 ? `${first}` : `${first} to ${first + count - 1}`;
    const given = {
      challenge: [
        wordOf(measure, pages, body(setting, "bold")),
        ...wordsOf(measure, nameOf(facts, card), body(setting)),
      ],
      response: wordsOf(measure, issue, body(setting)),
      challengeTag: tag(line, "Span"),
      responseTag: tag(line, "Span"),
      answerers: [],
    };
    const rows = askAndAnswer({ ...setting, boxes: false }, given, { x: 0, width: setting.width });
    return pieces(rows, { part: "line", before: profile.body * 0.2 });
  });
}
