import type { CardDocument } from "../card/content.js";
import type { Measure } from "../drawing/measure.js";
import { blockPieces } from "./blocks.js";
import { draftMarks } from "./draft.js";
import { continuedMark, factPieces, firstHead, foot, otherHead, type PageLabel } from "./head.js";
import { type Binding, marginsOf } from "./margins.js";
import type { Page } from "./page.js";
import { pageStarts } from "./paginate.js";
import type { Paper } from "./paper.js";
import type { Content, Piece, Row } from "./piece.js";
import type { Profile } from "./profile.js";
import { lineHeight, type Setting, settingOf } from "./setting.js";
import { sheetContents } from "./sheet.js";
import { type Tag, tag } from "./structure.js";
import { type Tab, tabMarks } from "./tabs.js";
import { tailPieces } from "./tail.js";

export interface LayoutOptions {
  readonly measure: Measure;
  readonly paper: Paper;
  readonly profile: Profile;
  readonly binding: Binding;
  /** Boxes to tick at the right edge. */
  readonly boxes: boolean;
  /** In a book: the number of the first page, and the category's place among the tabs at the outer edge. */
  readonly inBook?: { readonly firstPage: number; readonly tab?: Tab };
  readonly pageOf: (procedure: string) => string | undefined;
}

/** Lays a card out: pages of drawing marks, and the card's part of the logical structure, which is hung under `parent`. */
export function layoutCard(document: CardDocument, options: LayoutOptions, parent: Tag): readonly Page[] {
  const setting = cardSetting(document, options);
  const owner = tag(parent, "Sect", { title: document.title });
  const head = firstHead(setting, owner);
  const place = { column: { x: 0, width: setting.width }, parent: owner, depth: 0 };
  const flow = [
    ...factPieces(setting, owner),
    ...blockPieces(setting, document.blocks, place),
    ...tailPieces(setting, owner),
  ];
  return layoutFlow(setting, options, { flow, head, owner });
}

/** What a card's parts are set by. */
export function cardSetting(document: CardDocument, options: LayoutOptions): Setting {
  const { measure, profile, boxes, pageOf, paper } = options;
  const margins = marginsOf(paper, options.binding, 1);
  const width = paper.width - margins.left - margins.right;
  return settingOf({
    measure,
    profile,
    document,
    width,
    height: paper.height - margins.top - margins.bottom,
    boxes,
    pageOf,
  });
}

/** Breaks a flow into pages and draws each with its head and foot. */
export function layoutFlow(
  setting: Setting,
  options: LayoutOptions,
  given: { readonly flow: readonly Piece[]; readonly head: Row; readonly owner: Tag },
): readonly Page[] {
  const { paper, profile } = options;
  const other = otherHead(setting);
  const last = tag(given.owner, "P");
  const gap = profile.body * 0.6;
  const taken = foot(setting, label(99, 99, options), last).height + lineHeight(setting, profile.small) + gap * 2.1;
  const starts = pageStarts(given.flow, {
    first: setting.height - taken - given.head.height,
    other: setting.height - taken - other.height,
  });
  return starts.map((start, index) => {
    const margins = marginsOf(paper, options.binding, (options.inBook?.firstPage ?? 1) + index);
    const sheet = {
      setting,
      head: index === 0 ? given.head : other,
      foot: foot(setting, label(index + 1, starts.length, options), index === 0 ? last : undefined),
      more: index + 1 < starts.length ? continuedMark(setting) : undefined,
      bottom: paper.height - margins.bottom,
      gap,
      margins,
    };
    const contents = [
      ...under(setting, options, index),
      ...sheetContents(sheet, given.flow, start, starts[index + 1] ?? given.flow.length),
    ];
    return {
      width: paper.width,
      height: paper.height,
      contents,
      parts: [{ card: setting.document.id, number: index + 1, x: 0, y: 0 }],
    };
  });
}

/** What lies under the text: DRAFT, and the tab at the outer edge. `index` counts the pages of the card from 0. */
export function under(
  setting: Setting,
  options: LayoutOptions,
  index: number,
  drafts = setting.document.draft,
): readonly Content[] {
  const { paper, inBook } = options;
  const draft: readonly Content[] = drafts ? [{ purpose: "draft", marks: draftMarks(paper.width, paper.height) }] : [];
  if (!inBook?.tab) return draft;
  const left = options.binding === "mirrored" && (inBook.firstPage + index) % 2 === 0;
  return [...draft, { purpose: "frame", marks: tabMarks(setting, paper, inBook.tab, left) }];
}

/** In a book `Page` is the page of the book, to which jumps and indexes lead; the page of the card stands with its id. */
function label(number: number, count: number, { inBook }: LayoutOptions): PageLabel {
  const own = `${number} of ${count}`;
  return inBook ? { own, page: `Page ${inBook.firstPage + number - 1}` } : { own: "", page: `Page ${own}` };
}
