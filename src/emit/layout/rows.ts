import { INK, type Mark, QUIET } from "../drawing/marks.js";
import { breakWords, type Fit } from "./break.js";
import type { Content, Purpose, Row } from "./piece.js";
import { baseLine, type Column, lineHeight, type Setting } from "./setting.js";
import type { Tag } from "./structure.js";
import { lineMarks, lineWidth, type Word, wordOf } from "./words.js";

export interface Said {
  readonly tag?: Tag;
  readonly purpose: Purpose;
  readonly step?: string;
}

export interface Shape {
  readonly fit?: Fit;
  /** No more lines than these; what is longer ends in an ellipsis. For what stands where a page has little room, such as its head. */
  readonly most?: number;
}

/** A paragraph: one row for each line. Prose fills its lines; a title or a challenge is broken evenly. */
export function paragraph(
  setting: Setting,
  words: readonly Word[],
  column: Column,
  said: Said,
  shape: Shape = {},
): readonly Row[] {
  const lines = shortened(
    setting,
    breakWords(setting.measure, words, column.width, column.width, shape.fit ?? "full"),
    shape.most,
  );
  const size = Math.max(...words.map((word) => word.size), 0) || setting.profile.body;
  return lines.map((line) => ({
    height: lineHeight(setting, size),
    contents: [content(lineMarks(setting.measure, line, column.x, baseLine(setting, size)), said)],
  }));
}

/** One line of words no wider than `limit`; what is longer ends in an ellipsis. */
export function oneLine(setting: Setting, words: readonly Word[], limit: number): readonly Word[] {
  if (lineWidth(setting.measure, words) <= limit) return words;
  const [style] = words;
  if (!style) return words;
  const dots = wordOf(setting.measure, "\u2026", style);
  const [line = []] = breakWords(
    setting.measure,
    words,
    Math.max(1, limit - 2 * dots.width),
    Math.max(1, limit - 2 * dots.width),
    "full",
  );
  return [...line, dots];
}

function shortened(
  setting: Setting,
  lines: readonly (readonly Word[])[],
  most = lines.length,
): readonly (readonly Word[])[] {
  const last = lines[most - 1];
  const style = last?.[0];
  if (lines.length <= most || !last || !style) return lines;
  const kept = last.length > 1 ? last.slice(0, -1) : last;
  return [...lines.slice(0, most - 1), [...kept, wordOf(setting.measure, "\u2026", style)]];
}

export function content(marks: readonly Mark[], said: Said): Content {
  return {
    purpose: said.purpose,
    marks,
    ...(said.tag ? { tag: said.tag } : {}),
    ...(said.step === undefined ? {} : { step: said.step }),
  };
}

/** Decoration: nothing that is read aloud. */
export function decoration(marks: readonly Mark[], purpose: Purpose = "frame"): Content {
  return { purpose, marks };
}

/** The row with more contents before its own. */
export function withContents(row: Row, more: readonly Content[]): Row {
  return { ...row, contents: [...more, ...row.contents] };
}

export interface AskAndAnswer {
  readonly challenge: readonly Word[];
  /** Empty: nothing is answered, and no dots lead anywhere. */
  readonly response: readonly Word[];
  readonly challengeTag: Tag;
  readonly responseTag: Tag;
  readonly step?: string;
  /** Marks of those who answer, right of the response. */
  readonly answerers: readonly Word[];
  /** A field to write in instead of words, this wide; it stands before the response. */
  readonly field?: number;
}

const MIN_DOTS = 3;

/**
 * A challenge, leader dots, a response. The response ends at the right edge and begins on the challenge's last line, which leaves
 * room for it and for at least three dots; neither ever stands alone. Dots stand on one grid, counted from the column's right edge.
 */
export function askAndAnswer(setting: Setting, given: AskAndAnswer, column: Column): readonly Row[] {
  const { measure, profile } = setting;
  const right = rightEdge(setting, column);
  const room = right - column.x;
  if (given.response.length === 0 && given.field === undefined) return askOnly(setting, given, column, room);
  const pitch = measure.width(".", "regular", profile.body);
  const gap = profile.body * 0.35;
  const lead = MIN_DOTS * pitch + 2 * gap + pitch;
  const answer = answerLines(setting, given, room, lead);
  const field = fieldWidth(given, gap);
  const widest = Math.max(...answer.map((line) => lineWidth(measure, line))) + field;
  const ask = breakWords(measure, given.challenge, room, Math.max(room - widest - lead, profile.body * 2));
  const rows: Row[] = ask
    .slice(0, -1)
    .map((line) => textRow(setting, line, column.x, given.challengeTag, "challenge", given.step));
  rows.push(joinedRow(setting, given, ask.at(-1) ?? [], answer[0] ?? [], { column, right, widest, pitch, gap }));
  for (const line of answer.slice(1))
    rows.push(textRow(setting, line, right - widest, given.responseTag, "response", given.step));
  return rows;
}

/** The right edge of responses in a column. */
export function rightEdge(setting: Setting, column: Column): number {
  return column.x + column.width - (setting.boxes ? setting.profile.body * 1.4 : 0) - setting.answerers;
}

function askOnly(setting: Setting, given: AskAndAnswer, column: Column, room: number): readonly Row[] {
  const rows = paragraph(setting, given.challenge, { x: column.x, width: room }, said(given, "challenge"), {
    fit: "even",
  });
  const last = rows.at(-1);
  return last ? [...rows.slice(0, -1), withContents(last, atRightEdge(setting, given, column))] : rows;
}

function said(given: AskAndAnswer, purpose: "challenge" | "response"): Said {
  const tagged = purpose === "challenge" ? given.challengeTag : given.responseTag;
  return { tag: tagged, purpose, ...(given.step === undefined ? {} : { step: given.step }) };
}

/** One line where it fits beside the challenge or takes no more than half of the room; else several lines of about half of it. */
function answerLines(setting: Setting, given: AskAndAnswer, room: number, lead: number): readonly (readonly Word[])[] {
  const { measure } = setting;
  const whole = lineWidth(measure, given.response) + (given.field ?? 0);
  const ask = lineWidth(measure, given.challenge);
  if (whole <= room * 0.55 || whole + ask + lead <= room) return [given.response];
  return breakWords(measure, given.response, Math.max(room * 0.5, room - ask - lead) - (given.field ?? 0));
}

function textRow(
  setting: Setting,
  words: readonly Word[],
  x: number,
  tag: Tag,
  purpose: Purpose,
  step: string | undefined,
): Row {
  const marks = lineMarks(setting.measure, words, x, baseLine(setting));
  return {
    height: lineHeight(setting),
    contents: [content(marks, { tag, purpose, ...(step === undefined ? {} : { step }) })],
  };
}

/** The field and the space between it and the words after it. */
function fieldWidth(given: AskAndAnswer, gap: number): number {
  return given.field === undefined ? 0 : given.field + (given.response.length > 0 ? gap : 0);
}

interface Places {
  readonly column: Column;
  readonly right: number;
  readonly widest: number;
  readonly pitch: number;
  readonly gap: number;
}

function joinedRow(
  setting: Setting,
  given: AskAndAnswer,
  ask: readonly Word[],
  answer: readonly Word[],
  places: Places,
): Row {
  const { measure } = setting;
  const y = baseLine(setting);
  const from = places.column.x + lineWidth(measure, ask);
  const single = lineWidth(measure, answer) + fieldWidth(given, places.gap);
  const to = places.right - Math.max(places.widest, single);
  const answerX = to + fieldWidth(given, places.gap);
  return {
    height: lineHeight(setting),
    contents: [
      content(lineMarks(measure, ask, places.column.x, y), said(given, "challenge")),
      leader(setting, from + places.gap, to - places.gap, places.pitch, y),
      ...(given.field === undefined ? [] : [decoration([rule(to, y + 1.5, given.field)])]),
      content(lineMarks(measure, answer, answerX, y), said(given, "response")),
      ...atRightEdge(setting, given, places.column),
    ],
  };
}

/** Dots on the grid between two places; the grid is counted from the right edge of the text column, whatever stands between. */
function leader(setting: Setting, from: number, to: number, pitch: number, y: number): Content {
  const first = Math.floor((setting.width - from) / pitch);
  const last = Math.ceil((setting.width - to) / pitch);
  const dots = first - last;
  if (dots < 1) return decoration([], "leader");
  const x = setting.width - first * pitch;
  const size = setting.profile.body;
  return decoration(
    [{ kind: "text", x, y, text: ".".repeat(dots), face: "regular", size, anchor: "start", fill: QUIET }],
    "leader",
  );
}

function atRightEdge(setting: Setting, given: AskAndAnswer, column: Column): readonly Content[] {
  const { measure, profile } = setting;
  const y = baseLine(setting);
  const right = column.x + column.width - (setting.boxes ? profile.body * 1.4 : 0);
  const found: Content[] = [];
  if (given.answerers.length > 0) {
    const width = lineWidth(measure, given.answerers);
    found.push(content(lineMarks(measure, given.answerers, right - width, y), said(given, "response")));
  }
  if (setting.boxes) found.push(decoration([tickBox(setting, column.x + column.width, y)]));
  return found;
}

/** A square to tick; `right` is its right edge, `y` the base line beside it. */
export function tickBox(setting: Setting, right: number, y: number): Mark {
  const side = setting.profile.body * 0.85;
  const middle = y - (setting.measure.capHeight("regular") * setting.profile.body) / 2;
  return { kind: "rect", x: right - side, y: middle - side / 2, width: side, height: side, stroke: INK, weight: 0.9 };
}

/** A line to write on. */
export function rule(x: number, y: number, width: number, weight = 0.8): Mark {
  return {
    kind: "path",
    pieces: [
      { to: "move", x, y },
      { to: "line", x: x + width, y },
    ],
    stroke: INK,
    weight,
  };
}
