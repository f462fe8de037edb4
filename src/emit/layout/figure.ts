import type { CardDocument } from "../card/content.js";
import type { Drawing } from "../drawing/marks.js";
import { cardSetting, type LayoutOptions, layoutFlow, under } from "./card.js";
import { foot, otherHead } from "./head.js";
import { marginsOf } from "./margins.js";
import { scaledMark } from "./move.js";
import type { Page } from "./page.js";
import type { Content, Piece } from "./piece.js";
import { lineHeight, type Setting } from "./setting.js";
import { type Tag, tag } from "./structure.js";
import { lineMarks, lineWidth, wordsOf } from "./words.js";

/**
 * A drawing on a page of its own. One that is made for the paper fills it and has its own head and foot, and only the number of the page is
 * added; any other is as large as the page lets it be, under the head of its card.
 */
export function layoutFigure(document: CardDocument, drawing: Drawing, options: LayoutOptions, parent: Tag): Page {
  const { paper } = options;
  const whole = Math.abs(drawing.width - paper.width) < 0.5 && Math.abs(drawing.height - paper.height) < 0.5;
  return whole ? wholePage(document, drawing, options, parent) : fittedFigure(document, drawing, options, parent);
}

function wholePage(document: CardDocument, drawing: Drawing, options: LayoutOptions, parent: Tag): Page {
  const { paper, inBook } = options;
  const setting = cardSetting(document, options);
  const owner = tag(parent, "Sect", { title: drawing.title });
  const figure: Content = {
    purpose: "figure",
    marks: drawing.marks,
    tag: tag(owner, "Figure", { alt: drawing.description }),
  };
  const number = inBook ? [pageNumber(setting, options, inBook.firstPage, tag(owner, "P"))] : [];
  return {
    width: paper.width,
    height: paper.height,
    contents: [...under(setting, options, 0, false), figure, ...number],
    parts: [NO_CARD],
  };
}

/** In the margin above the drawing, at the outer edge. */
function pageNumber(setting: Setting, options: LayoutOptions, page: number, owner: Tag): Content {
  const { measure, profile } = setting;
  const margins = marginsOf(options.paper, options.binding, page);
  const words = wordsOf(measure, `Page ${page}`, { face: "bold", size: profile.small });
  const x = margins.left + setting.width - lineWidth(measure, words);
  return { purpose: "foot", marks: lineMarks(measure, words, x, margins.top - profile.small * 0.4), tag: owner };
}

const NO_CARD = { card: "", number: 1, x: 0, y: 0 } as const;

/** A drawing as large as the page lets it be, with the head and foot of its card. */
function fittedFigure(document: CardDocument, drawing: Drawing, options: LayoutOptions, parent: Tag): Page {
  const setting = cardSetting({ ...document, title: drawing.title, blocks: [] }, options);
  const owner = tag(parent, "Sect", { title: drawing.title });
  const head = otherHead(setting, tag(owner, "H1"));
  const room = { width: setting.width, height: figureHeight(setting, head.height) };
  const scale = Math.min(1.25, room.width / drawing.width, room.height / drawing.height);
  const x = (room.width - drawing.width * scale) / 2;
  const marks = drawing.marks.map((mark) => scaledMark(mark, scale, x, 0));
  const figure = tag(owner, "Figure", { alt: drawing.description });
  const piece: Piece = {
    height: drawing.height * scale,
    contents: [{ purpose: "figure", marks, tag: figure }],
    before: 0,
    after: 0,
    penalty: 0,
    frames: [],
    part: "line",
    changed: false,
    removedBefore: false,
  };
  const [page] = layoutFlow(setting, options, { flow: [piece], head, owner });
  return {
    width: options.paper.width,
    height: options.paper.height,
    contents: page?.contents ?? [],
    parts: [NO_CARD],
  };
}

function figureHeight(setting: Setting, head: number): number {
  const { profile } = setting;
  return (
    setting.height -
    head -
    foot(setting, { own: "", page: "Page 99 of 99" }, undefined).height -
    lineHeight(setting, profile.small) -
    profile.body * 1.5
  );
}
