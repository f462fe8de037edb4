import { draftMarks } from "../layout/draft.js";
import { movedMark, scaledMark } from "../layout/move.js";
import { type Drawing, type Face, INK, type Mark, QUIET } from "./marks.js";
import type { Measure } from "./measure.js";
import { wrap } from "./wrap.js";

/** What stands around a drawing: its name above, what its signs mean and the cautions below. */
export interface Frame {
  readonly id: string;
  readonly title: string;
  readonly subtitle: string;
  /** For those who cannot see it. */
  readonly description: string;
  readonly keys: readonly string[];
  readonly cautions: readonly string[];
  /** DRAFT goes across it, under everything else. */
  readonly draft?: boolean;
  readonly measure: Measure;
  /** Type size in points. */
  readonly size: number;
  /** A sheet of a given size, in points; without it the drawing is as large as what it holds. */
  readonly paper?: Sheet;
}

export interface Sheet {
  readonly width: number;
  readonly height: number;
  readonly margin: number;
}

export interface Picture {
  readonly marks: readonly Mark[];
  readonly width: number;
  readonly height: number;
}

/** The picture with its frame; on a sheet it stands in the middle under the title, made smaller where it is too large. */
export function framed(frame: Frame, picture: Picture): Drawing {
  const margin = frame.paper?.margin ?? 2 * frame.size;
  const width = frame.paper?.width ?? Math.max(picture.width, 32 * frame.size) + 2 * margin;
  const rows = rowsAround(frame, width - 2 * margin);
  const height = frame.paper?.height ?? rows.head.height + picture.height + rows.foot.height + 2 * margin;
  const room = height - rows.head.height - rows.foot.height - 2 * margin;
  const scale = frame.paper ? Math.min(1, (width - 2 * margin) / picture.width, room / picture.height) : 1;
  const [left, top] = [(width - scale * picture.width) / 2, margin + rows.head.height];
  return {
    id: frame.id,
    title: frame.title,
    description: frame.description,
    width,
    height,
    marks: [
      ...(frame.draft ? draftMarks(width, height) : []),
      ...textMarks(rows.head.lines, margin, margin),
      ...picture.marks.map((mark) => (scale < 1 ? scaledMark(mark, scale, left, top) : movedMark(mark, left, top))),
      ...textMarks(rows.foot.lines, margin, height - margin - rows.foot.height),
    ],
  };
}

/** What a sheet leaves for the picture. */
export function roomInside(frame: Frame & { readonly paper: Sheet }): {
  readonly width: number;
  readonly height: number;
} {
  const { width, height, margin } = frame.paper;
  const rows = rowsAround(frame, width - 2 * margin);
  return { width: width - 2 * margin, height: height - 2 * margin - rows.head.height - rows.foot.height };
}

interface Line {
  readonly text: string;
  readonly face: Face;
  readonly size: number;
  readonly fill: string;
  /** Of the base line, from the top of its block. */
  readonly y: number;
}

interface TextBlock {
  readonly lines: readonly Line[];
  readonly height: number;
}

function rowsAround(frame: Frame, width: number): { readonly head: TextBlock; readonly foot: TextBlock } {
  const { size } = frame;
  const head = stack(frame, width, [
    { text: frame.title, face: "bold", size: 1.5 * size, fill: INK },
    { text: frame.subtitle, face: "regular", size, fill: QUIET },
  ]);
  const keys = frame.keys.map((text) => ({ text, face: "regular" as const, size, fill: INK }));
  const cautions = frame.cautions.map((text) => ({ text, face: "regular" as const, size, fill: QUIET }));
  const foot = stack(frame, width, [...keys, ...cautions]);
  const gap = 1.2 * size;
  return {
    head: { lines: head.lines, height: head.height + gap },
    foot: { lines: foot.lines.map((line) => ({ ...line, y: line.y + gap })), height: foot.height + gap },
  };
}

function stack(frame: Frame, width: number, texts: readonly Omit<Line, "y">[]): TextBlock {
  const lines: Line[] = [];
  let y = 0;
  for (const text of texts) {
    for (const line of wrap(text.text, width, text, frame.measure)) {
      lines.push({ ...text, text: line, y: y + 0.95 * text.size });
      y += 1.25 * text.size;
    }
  }
  return { lines, height: y };
}

function textMarks(lines: readonly Line[], x: number, top: number): readonly Mark[] {
  return lines.map(({ text, face, size, fill, y }) => ({
    kind: "text",
    x,
    y: top + y,
    text,
    face,
    size,
    anchor: "start",
    fill,
  }));
}
