import { unreachable } from "../../invariant.js";
import type { Line, StepBlock, Tags } from "../card/content.js";
import type { Mark } from "../drawing/marks.js";
import { lightPieces } from "./lights.js";
import { enclose, type Piece, pieces, type Row } from "./piece.js";
import { askAndAnswer, content, decoration, paragraph, rule } from "./rows.js";
import { answersAtRight, body, type Column, lineHeight, markSize, type Setting } from "./setting.js";
import { pointer } from "./signs.js";
import { type Tag, tag } from "./structure.js";
import { lineMarks, lineWidth, type Style, type Word, wordOf, wordsOf } from "./words.js";

/** One printed line of a step. The first bears who does it, for which ships, and the mark of its foot note. */
export function linePieces(
  setting: Setting,
  step: StepBlock,
  line: Line,
  index: number,
  column: Column,
  owner: Tag,
): readonly Piece[] {
  const words = new LineWords(setting, step, index === 0);
  const plain = (rows: readonly Row[]) => pieces(rows, { part: "line", step: step.name });
  const said = { tag: owner, purpose: "challenge" as const, step: step.name };
  switch (line.kind) {
    case "pair":
      return plain(
        ask(setting, step, words, owner, column, line.joined ? `and ${line.challenge}` : line.challenge, [
          ...words.text(line.lead ?? ""),
          ...words.bold(line.response),
        ]),
      );
    case "plain":
      return plain(ask(setting, step, words, owner, column, line.text, []));
    case "speech":
      return plain(
        paragraph(
          setting,
          words.around(
            [...words.mark(line.who ?? ""), ...words.text(`\u201c${line.text}\u201d`)],
            line.who === undefined,
          ),
          column,
          said,
        ),
      );
    case "timer":
      return plain(timerRows(setting, line, column, owner, step.name));
    case "blank":
      return plain(
        ask(setting, step, words, owner, column, line.challenge, words.text(line.unit), setting.profile.body * 6),
      );
    case "lights":
      return lightPieces(setting, line, words.around([]), column, owner, step.name);
    case "jump":
      return plain(jumpRows(setting, step, words, owner, column, line));
    case "end":
      return endPieces(setting, step, words, owner, column, line);
    case "pause": {
      const rows = paragraph(setting, words.around([...words.bold("PAUSE"), ...words.text(line.text)]), column, said);
      const frame = { style: "pause" as const, x: column.x, width: column.width, pad: setting.profile.body * 0.4 };
      return spaced(enclose(plain(rows), frame), setting.profile.body * 0.3);
    }
    case "standing": {
      const rows = paragraph(
        setting,
        words.around([...words.bold(`${line.word}:`), ...words.text(line.text)]),
        padded(setting, column),
        said,
      );
      return enclose(plain(rows), {
        style: "dashed-box",
        x: column.x,
        width: column.width,
        pad: setting.profile.body * 0.35,
      });
    }
    default:
      return unreachable(line);
  }
}

/** Who does it, before a line; for which ships and the mark of a foot note, after it. */
export function tagWords(
  setting: Setting,
  { by, only, footnote }: Tags,
): { readonly before: readonly Word[]; readonly after: readonly Word[] } {
  const { measure, profile } = setting;
  const chip: Style = { face: "bold", size: markSize(setting), boxed: true };
  const ships = only ? wordsOf(measure, `(${only})`, { face: "regular", size: markSize(setting) }) : [];
  const raised: Style = { face: "regular", size: profile.small, raise: profile.body * 0.25 };
  return {
    before: by.map((mark) => wordOf(measure, mark, chip)),
    after: [...ships, ...(footnote ? [wordOf(measure, footnote, raised)] : [])],
  };
}

/** Words of a line with what stands around them. */
class LineWords {
  constructor(
    private readonly setting: Setting,
    private readonly step: StepBlock,
    private readonly first: boolean,
  ) {}

  text(text: string): readonly Word[] {
    return wordsOf(this.setting.measure, text, body(this.setting));
  }

  bold(text: string): readonly Word[] {
    return wordsOf(this.setting.measure, text, body(this.setting, "bold"));
  }

  mark(text: string): readonly Word[] {
    return text
      ? [wordOf(this.setting.measure, text, { face: "bold", size: markSize(this.setting), boxed: true })]
      : [];
  }

  /** The words with who does it before them and the mark of a foot note after them. */
  around(words: readonly Word[], named = true): readonly Word[] {
    if (!this.first) return words;
    const { by, only, marks } = this.step;
    const { before, after } = tagWords(this.setting, {
      by: named && !answersAtRight(this.setting) ? by : [],
      ...(only ? { only } : {}),
      ...(marks.footnote ? { footnote: marks.footnote } : {}),
    });
    return [...before, ...words, ...after];
  }

  answerers(): readonly Word[] {
    return this.first && answersAtRight(this.setting) ? this.step.by.flatMap((mark) => this.mark(mark)) : [];
  }
}

function ask(
  setting: Setting,
  step: StepBlock,
  words: LineWords,
  owner: Tag,
  column: Column,
  challenge: string,
  response: readonly Word[],
  field?: number,
): readonly Row[] {
  const given = {
    challenge: words.around(words.text(challenge)),
    response,
    challengeTag: tag(owner, "Span"),
    responseTag: tag(owner, "Span"),
    step: step.name,
    answerers: words.answerers(),
    ...(field === undefined ? {} : { field }),
  };
  return askAndAnswer(setting, given, column);
}

/** Fields to write the times in stand higher than type, so that a hand finds room. */
function timerRows(
  setting: Setting,
  line: Extract<Line, { kind: "timer" }>,
  column: Column,
  owner: Tag,
  step: string,
): readonly Row[] {
  const { measure, profile } = setting;
  const height = lineHeight(setting) * 1.35;
  const y = height - profile.body * 0.35;
  const field = profile.body * 3.6;
  const parts = [`Began`, `${line.end} (+${line.span})`].map((text) => wordsOf(measure, text, body(setting)));
  const widths = parts.map((words) => lineWidth(measure, words) + profile.body * 0.4 + field);
  const together = widths.reduce((sum, width) => sum + width, 0) + profile.body <= column.width;
  const made = parts.map((words, index) => {
    const x = column.x + (together && index > 0 ? (widths[0] ?? 0) + profile.body : 0);
    const at = x + lineWidth(measure, words) + profile.body * 0.4;
    const marks: readonly Mark[] = [rule(at, y + 1.5, field)];
    return [
      content(lineMarks(measure, words, x, y), { tag: tag(owner, "Span"), purpose: "text", step }),
      decoration(marks),
    ];
  });
  return together ? [{ height, contents: made.flat() }] : made.map((contents) => ({ height, contents }));
}

function jumpRows(
  setting: Setting,
  step: StepBlock,
  words: LineWords,
  owner: Tag,
  column: Column,
  line: Extract<Line, { kind: "jump" }>,
): readonly Row[] {
  const { profile } = setting;
  const page = setting.pageOf(line.to.procedure);
  const link = tag(owner, "Link", { alt: `${line.word} ${line.to.title}` });
  const x = column.x + profile.body * 1.1;
  const challenge = words.around([...words.bold(line.word), ...words.text(line.to.title)]);
  const response =
    page === undefined
      ? words.bold(line.to.procedure)
      : [...words.text(line.to.procedure), ...words.bold(`page ${page}`)];
  const given = {
    challenge,
    response,
    challengeTag: link,
    responseTag: link,
    step: step.name,
    answerers: words.answerers(),
  };
  const rows = askAndAnswer(setting, given, { x, width: column.x + column.width - x });
  const arrow = decoration([pointer(column.x, lineHeight(setting) / 2, profile.body * 0.8)]);
  return rows.map((row, index) => {
    const area = { procedure: line.to.procedure, x: column.x, y: 0, width: column.width, height: row.height };
    const [first, ...rest] = row.contents;
    const linked = first ? [{ ...first, link: area }, ...rest] : rest;
    return index === 0 ? { ...row, contents: [arrow, ...linked] } : { ...row, contents: linked };
  });
}

/** The good end is plain; the bad end stands in a frame: the card is left there. */
function endPieces(
  setting: Setting,
  step: StepBlock,
  words: LineWords,
  owner: Tag,
  column: Column,
  line: Extract<Line, { kind: "end" }>,
): readonly Piece[] {
  const said = { tag: owner, purpose: "challenge" as const, step: step.name };
  const text = words.around([...words.bold(line.text ? `${line.word}:` : line.word), ...words.text(line.text)]);
  if (line.good) return pieces(paragraph(setting, text, column, said), { part: "line", step: step.name });
  const rows = paragraph(setting, text, padded(setting, column), said);
  return enclose(pieces(rows, { part: "line", step: step.name }), {
    style: "box",
    x: column.x,
    width: column.width,
    pad: setting.profile.body * 0.25,
  });
}

function padded(setting: Setting, column: Column): Column {
  const pad = setting.profile.body * 0.5;
  return { x: column.x + pad, width: column.width - 2 * pad };
}

function spaced(all: readonly Piece[], gap: number): readonly Piece[] {
  return all.map((piece, index) => ({
    ...piece,
    before: piece.before + (index === 0 ? gap : 0),
    after: piece.after + (index === all.length - 1 ? gap : 0),
  }));
}
