import { unreachable } from "../../invariant.js";
import type { Block, Group, Memory, Section, StepBlock } from "../card/content.js";
import { INK, type Mark, PAPER } from "../drawing/marks.js";
import { alertPieces, gluedTo } from "./alert.js";
import { linePieces, tagWords } from "./lines.js";
import {
  enclose,
  type Frame,
  type FrameStyle,
  NEVER,
  type Piece,
  pieces,
  RATHER_NOT,
  type Row,
  WHOLE,
  withFirst,
} from "./piece.js";
import { leastSizes } from "./profile.js";
import { content, decoration, paragraph, tickBox, withContents } from "./rows.js";
import { stacked } from "./run.js";
import { baseLine, body, type Column, lineHeight, markSize, type Setting } from "./setting.js";
import { diamond } from "./signs.js";
import { type Tag, tag } from "./structure.js";
import { lineMarks, lineWidth, wordOf, wordsOf } from "./words.js";

/** Where a list of blocks goes: its column, its place in the structure, how deep it hangs. */
interface Place {
  readonly column: Column;
  readonly parent: Tag;
  readonly depth: number;
}

/** The flow of a card: every block as pieces, in reading order. */
export function blockPieces(setting: Setting, blocks: readonly Block[], place: Place): readonly Piece[] {
  let list: Tag | undefined;
  return blocks.flatMap((block) => {
    if (block.kind !== "step") list = undefined;
    switch (block.kind) {
      case "section":
        return sectionPieces(setting, block, place);
      case "memory":
        return memoryPieces(setting, block, place);
      case "group":
        return groupPieces(setting, block, place);
      case "step":
        list ??= tag(place.parent, "L");
        return stepPieces(setting, block, { ...place, parent: list });
      default:
        return unreachable(block);
    }
  });
}

/** The letter in a filled square, the title over a rule. */
function sectionPieces(setting: Setting, section: Section, place: Place): readonly Piece[] {
  const owner = tag(place.parent, "Sect", { title: section.title });
  const head = headingRow(setting, section, place.column, tag(owner, "H2"));
  const alerts = alertPieces(setting, section.alerts, place.column, owner, section.name);
  const inside = blockPieces(setting, section.blocks, { ...place, parent: owner });
  const heading: Piece = {
    ...head,
    before: setting.profile.body * 0.9,
    after: setting.profile.body * 0.25,
    penalty: -40,
    frames: [],
    part: "heading",
    step: section.name,
    changed: section.marks.changed,
    removedBefore: section.marks.removedBefore,
  };
  const all = [
    heading,
    ...gluedTo(alerts, inside).map((piece, index) => (index === 0 ? { ...piece, penalty: NEVER } : piece)),
  ];
  return enclose(all, {
    style: "none",
    x: place.column.x,
    width: place.column.width,
    pad: 0,
    continued: continuedHeading(setting, section, place.column),
  });
}

function headingRow(setting: Setting, section: Section, column: Column, owner: Tag): Row {
  const { measure, profile } = setting;
  const size = profile.heading;
  const height = size * 1.5;
  const y = height / 2 + (measure.capHeight("bold") * size) / 2;
  const square = size * 1.42;
  const x =
    column.x +
    (section.letter ? Math.max(square, measure.width(section.letter, "bold", size) + size * 0.6) + size * 0.55 : 0);
  const markedAt = Math.max(markSize(setting), leastSizes(profile.distance).heading);
  const by = section.by.map((mark) => wordOf(measure, mark, { face: "bold", size: markedAt, boxed: true }));
  const byWidth = lineWidth(measure, by);
  const room = column.x + column.width - byWidth - profile.body - x;
  const said = { tag: owner, purpose: "heading" as const, step: section.name };
  const title = paragraph(setting, wordsOf(measure, section.title, { face: "bold", size }), { x, width: room }, said, {
    most: 4,
  });
  const lines = title.flatMap((row, index) =>
    row.contents.map((one) => shifted(one, index * row.height + y - baseLine(setting, size))),
  );
  const tall = height + (title.length - 1) * lineHeight(setting, size);
  const letter = section.letter
    ? [
        decoration([square_(column.x, 0, x - column.x - size * 0.55, height)]),
        content(
          lineMarks(
            measure,
            [wordOf(measure, section.letter, { face: "bold", size, fill: PAPER })],
            column.x + (x - column.x - size * 0.55 - measure.width(section.letter, "bold", size)) / 2,
            y,
          ),
          said,
        ),
      ]
    : [];
  const marks = by.length > 0 ? [content(lineMarks(measure, by, column.x + column.width - byWidth, y), said)] : [];
  return {
    height: tall,
    contents: [...letter, ...lines, ...marks, decoration([band(column.x, tall - 1.2, column.width, 1.2)])],
  };
}

function shifted(one: Row["contents"][number], dy: number): Row["contents"][number] {
  return {
    ...one,
    marks: one.marks.map((mark) => (mark.kind === "text" || mark.kind === "rect" ? { ...mark, y: mark.y + dy } : mark)),
  };
}

function square_(x: number, y: number, width: number, height: number): Mark {
  return { kind: "rect", x, y, width, height, fill: INK };
}

function band(x: number, y: number, width: number, height: number): Mark {
  return { kind: "rect", x, y, width, height, fill: INK };
}

function continuedHeading(setting: Setting, section: Section, column: Column): Row {
  const words = [
    ...wordsOf(setting.measure, `${section.letter} ${section.title}`, body(setting, "bold")),
    ...wordsOf(setting.measure, "continued", body(setting)),
  ];
  const [row] = paragraph(setting, words, column, { purpose: "heading" });
  const made = row ?? { height: lineHeight(setting), contents: [] };
  return {
    height: made.height + 4,
    contents: [...made.contents, decoration([band(column.x, made.height, column.width, 0.6)])],
  };
}

function memoryPieces(setting: Setting, memory: Memory, place: Place): readonly Piece[] {
  const { profile } = setting;
  const owner = tag(place.parent, "Sect", { title: "From memory" });
  const word = paragraph(setting, wordsOf(setting.measure, "FROM MEMORY", body(setting, "bold")), place.column, {
    tag: tag(owner, "H3"),
    purpose: "heading",
  });
  const alerts = alertPieces(setting, memory.alerts, place.column, owner, memory.name);
  const inside = gluedTo(
    alerts,
    blockPieces(setting, memory.blocks, { ...place, parent: owner, depth: place.depth + 1 }),
  );
  const all = [...pieces(word, { part: "heading", penalty: 0 }), ...withFirst(inside, () => ({ penalty: NEVER }))];
  const out = profile.body * 0.45;
  const [continued] = paragraph(
    setting,
    wordsOf(setting.measure, "FROM MEMORY, continued", body(setting, "bold")),
    place.column,
    { purpose: "heading" },
  );
  const framed = enclose(all, {
    style: "memory",
    x: place.column.x - out,
    width: place.column.width + 2 * out,
    pad: out,
    ...(continued ? { continued } : {}),
  });
  return framed.map((piece, index) => ({
    ...piece,
    before: piece.before + (index === 0 ? out : 0),
    after: piece.after + (index === framed.length - 1 ? out : 0),
  }));
}

const RAILS: Readonly<Record<Group["style"], FrameStyle>> = {
  branch: "rail",
  option: "rail",
  held: "double-rail",
  meanwhile: "dashed-rail",
  loop: "dashed-rail",
  lane: "rail",
  part: "none",
  panel: "none",
};

/** A lead and what belongs to it, indented behind a rail; a part or a panel has a lead and no indent. */
function groupPieces(setting: Setting, group: Group, place: Place): readonly Piece[] {
  const { profile } = setting;
  const style = RAILS[group.style];
  const step = style === "none" ? 0 : railIndent(setting, place.column);
  const inner = { x: place.column.x + step, width: place.column.width - step };
  const owner = tag(place.parent, "Sect", { title: `${group.word} ${group.text}`.trim() });
  const lead = leadRows(setting, group, inner, tag(owner, "P"));
  const inside = blockPieces(setting, group.blocks, { column: inner, parent: owner, depth: place.depth + 1 });
  const glued = withFirst(inside, () => ({ penalty: NEVER }));
  const [first] = group.blocks;
  const penalty = group.style === "panel" && first?.kind === "step" && first.number === "" ? WHOLE : 0;
  const all = [...pieces(lead, { part: "lead", before: profile.body * 0.15, penalty }), ...glued];
  const [continued] = continuedLead(setting, group, inner);
  const frame: Frame = {
    style,
    x: place.column.x,
    width: place.column.width,
    pad: profile.body * 0.12,
    ...(continued ? { continued } : {}),
  };
  const framed = enclose(all, frame);
  return framed.map((piece, index) => ({
    ...piece,
    before: piece.before + (index === 0 ? profile.body * 0.2 : 0),
    after: piece.after + (index === framed.length - 1 ? profile.body * 0.2 : 0),
  }));
}

/** Deep nesting stops moving to the right where a line would have no room left. */
function railIndent(setting: Setting, column: Column): number {
  const { body: size } = setting.profile;
  return column.width > size * 14 ? size * 0.8 : size * 0.5;
}

function leadRows(setting: Setting, group: Group, column: Column, owner: Tag): readonly Row[] {
  const { measure, profile } = setting;
  const boxes = Math.min(group.boxes, 12);
  const shift = boxes * profile.body * 1.15 + (boxes > 0 ? profile.body * 0.2 : 0);
  const bold = group.style === "option" || group.style === "panel" || group.style === "part" ? group.text : "";
  const tags = tagWords(setting, group.tags ?? { by: [] });
  const words = [
    ...tags.before,
    ...wordsOf(measure, group.word, body(setting, "bold")),
    ...wordsOf(measure, group.text, body(setting, bold ? "bold" : "regular")),
    ...tags.after,
  ];
  const rows = paragraph(
    setting,
    words,
    { x: column.x + shift, width: column.width - shift },
    { tag: owner, purpose: "text" },
  );
  const squares = Array.from({ length: boxes }, (_, index) =>
    tickBox(setting, column.x + index * profile.body * 1.15 + profile.body * 0.85, baseLine(setting)),
  );
  const underlined =
    group.style === "panel" ? [decoration([band(column.x, lineHeight(setting) - 0.6, column.width, 0.6)])] : [];
  return rows.map((row, index) => (index === 0 ? withContents(row, [decoration(squares), ...underlined]) : row));
}

function continuedLead(setting: Setting, group: Group, column: Column): readonly Row[] {
  const words = [
    ...wordsOf(setting.measure, `${group.word} ${group.text}`.trim().replace(/:$/, ","), body(setting, "bold")),
    ...wordsOf(setting.measure, "continued:", body(setting)),
  ];
  return paragraph(setting, words, column, { purpose: "text" }).slice(0, 1);
}

function stepPieces(setting: Setting, step: StepBlock, place: Place): readonly Piece[] {
  const { profile } = setting;
  const indent = setting.numbers[place.depth] ?? 0;
  const item = tag(place.parent, "LI");
  const column = { x: place.column.x + indent, width: place.column.width - indent };
  const alerts = alertPieces(setting, step.alerts, place.column, item, step.name, column);
  const label = step.number ? tag(item, "Lbl") : undefined;
  const owner = tag(item, "LBody");
  const lines = step.lines.flatMap((line, index) => linePieces(setting, step, line, index, column, owner));
  const own = lines.map((piece, index) => ({
    ...piece,
    changed: step.marks.changed,
    penalty: index === 0 ? breakBefore(step, place) : piece.penalty || NEVER,
    before: piece.before + (index === 0 ? profile.body * 0.28 : 0),
  }));
  const numbered = withFirst(own, (first) => withNumber(setting, step, first, column.x, label));
  const hanging = { column, parent: owner, depth: place.depth };
  const after = lanesAbreast(setting, step.after, hanging) ?? blockPieces(setting, step.after, hanging);
  const hung = withFirst(after, (first) => ({ penalty: numbered.length > 0 ? RATHER_NOT : first.penalty }));
  const unnumbered =
    numbered.length === 0 && label
      ? withFirst(hung, (first) => ({
          ...withNumber(setting, step, first, column.x, label),
          changed: step.marks.changed,
        }))
      : hung;
  const all = gluedTo(
    alerts.map((piece) => ({ ...piece, changed: step.marks.changed })),
    [...numbered, ...unnumbered],
  );
  return withFirst(all, () => ({
    removedBefore: step.marks.removedBefore,
    ...(alerts.length > 0 ? { penalty: breakBefore(step, place) } : {}),
  }));
}

/** A line without a number belongs to the step above it: in a flow it is the part of a step that lies on another panel. */
function breakBefore(step: StepBlock, place: Place): number {
  return step.number === "" ? WHOLE : place.depth * 40;
}

/** Lanes side by side, where each has room for a line and all together fit half a page; else they follow one another. */
function lanesAbreast(setting: Setting, blocks: readonly Block[], place: Place): readonly Piece[] | undefined {
  const lanes = blocks.filter((block) => block.kind === "group" && block.style === "lane");
  if (lanes.length < 2 || lanes.length < blocks.length) return undefined;
  const gap = setting.profile.body * 1.6;
  const width = (place.column.width - gap * (lanes.length - 1)) / lanes.length;
  if (width - setting.answerers < setting.profile.body * 15) return undefined;
  const parent: Tag = { role: "Sect", children: [] };
  const rows = lanes.map((lane, index) => {
    const column = { x: place.column.x + index * (width + gap), width };
    return stacked(blockPieces(setting, [lane], { ...place, column, parent }), column.x);
  });
  const height = Math.max(...rows.map((row) => row.height));
  if (height > setting.height * 0.5) return undefined;
  place.parent.children.push(parent);
  return [
    {
      ...PLAIN,
      height,
      contents: rows.flatMap((row) => row.contents),
      before: setting.profile.body * 0.3,
      after: setting.profile.body * 0.3,
    },
  ];
}

const PLAIN = { penalty: 0, frames: [], part: "lead", changed: false, removedBefore: false } as const;

/** The number right before the line, and the diamond of a killer item before the number. */
function withNumber(
  setting: Setting,
  step: StepBlock,
  first: Piece,
  right: number,
  label: Tag | undefined,
): Partial<Piece> {
  const { measure, profile } = setting;
  const word = wordOf(measure, step.number, body(setting));
  const top = firstTextY(first) ?? baseLine(setting);
  const x = right - profile.body * 0.6 - word.width;
  const number = label
    ? [content(lineMarks(measure, [word], x, top), { tag: label, purpose: "number", step: step.name })]
    : [];
  const killer = step.marks.killer
    ? [
        decoration([
          diamond(x - profile.body * 0.6, top - (measure.capHeight("regular") * profile.body) / 2, profile.body * 0.62),
        ]),
      ]
    : [];
  return { contents: [...number, ...killer, ...first.contents] };
}

function firstTextY(piece: Piece): number | undefined {
  for (const one of piece.contents) for (const mark of one.marks) if (mark.kind === "text") return mark.y;
  return undefined;
}
