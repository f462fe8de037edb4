import type { CardDocument } from "../card/content.js";
import type { Drawing } from "../drawing/marks.js";
import { cardSetting, type LayoutOptions, layoutFlow } from "./card.js";
import { foot, otherHead } from "./head.js";
import { scaledMark } from "./move.js";
import type { Page } from "./page.js";
import type { Piece } from "./piece.js";
import { lineHeight, type Setting } from "./setting.js";
import { type Tag, tag } from "./structure.js";

/** A drawing on a page of its own, as large as the page lets it be, with the head and foot of its card. */
export function layoutFigure(document: CardDocument, drawing: Drawing, options: LayoutOptions, parent: Tag): Page {
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
    parts: [{ card: "", number: 1, x: 0, y: 0 }],
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
