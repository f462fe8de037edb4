import { unreachable } from "../../invariant.js";
import type { Alert, Block, CardDocument, Group, Line, Marks, Section, StepBlock, Tags } from "../card/content.js";
import { dateLine, headFacts, readingWay, revisionLine } from "../card/head.js";
import { columnsOf, padRight, wrapText } from "./columns.js";
import { lampName, lightLines } from "./lights.js";

const WIDTH = 80;
/** Change mark, killer mark, number. */
const GUTTER = 7;

/** The card for a terminal or a plain printer: lines of at most 80 columns, ending in a line feed. Needs no colour. */
export function textCard(document: CardDocument): string {
  const lines = [
    ...headLines(document),
    ...document.blocks.flatMap((block) => blockLines(block, 0)),
    "",
    ...tailLines(document),
  ];
  return `${lines
    .map((line) => line.trimEnd())
    .join("\n")
    .replace(/\n{3,}/g, "\n\n")}\n`;
}

function headLines(document: CardDocument): readonly string[] {
  return [
    ...(document.draft ? [centred("D R A F T  -  D R A F T  -  D R A F T"), ""] : []),
    ...spread(document.system, document.id),
    ...spread(document.title, revisionLine(document)),
    ...spread(`${document.category}, ${readingWay(document)}`, dateLine(document)),
    "=".repeat(WIDTH),
    ...headFacts(document).flatMap(({ word, text, lamps }) =>
      hanging(`${word}: `, [text, ...lamps.map(lampName)].filter(Boolean).join("; "), 0),
    ),
    "",
  ];
}

function tailLines(document: CardDocument): readonly string[] {
  const { inForce, next, footnotes, keys } = document;
  return [
    ...(inForce.length > 0 ? ["STILL IN FORCE: NEVER", ...inForce.flatMap((text) => hanging("- ", text, 2)), ""] : []),
    "-".repeat(WIDTH),
    ...hanging("End of card. ", next ? `Next: ${next.title} (${next.procedure})` : "", 0),
    ...(footnotes.length > 0
      ? ["", ...footnotes.flatMap((note) => hanging(padRight(note.mark, 4), note.text, 0))]
      : []),
    ...(keys.length > 0 ? ["", ...keys.flatMap((key) => hanging(padRight(KEY_MARKS[key.mark], 8), key.text, 0))] : []),
    "",
    ...document.cautions.flatMap((text) => wrapText(text, WIDTH)),
  ];
}

const KEY_MARKS = { bar: "|", removed: "<", killer: "*", footnote: "+1", verify: "verify", check: "check" } as const;

function blockLines(block: Block, depth: number): readonly string[] {
  switch (block.kind) {
    case "section":
      return sectionLines(block, depth);
    case "memory":
      return framed("FROM MEMORY", [
        ...block.alerts.flatMap((alert) => alertLines(alert, depth)),
        ...block.blocks.flatMap((inner) => blockLines(inner, depth)),
      ]);
    case "group":
      return groupLines(block, depth);
    case "step":
      return stepLines(block, depth);
    default:
      return unreachable(block);
  }
}

function sectionLines(section: Section, depth: number): readonly string[] {
  const title = `${section.letter}  ${section.title}`.trim();
  const by = section.by.join(", ");
  const rule = "-".repeat(Math.max(1, WIDTH - columnsOf(title) - columnsOf(by) - (by ? 2 : 1)));
  return [
    "",
    ...section.alerts.flatMap((alert) => alertLines(alert, depth)),
    ...(columnsOf(title) + columnsOf(by) + 4 > WIDTH
      ? wrapText(title, WIDTH)
      : [`${title} ${rule}${by ? ` ${by}` : ""}`]),
    "",
    ...section.blocks.flatMap((block) => blockLines(block, depth)),
  ];
}

function groupLines(group: Group, depth: number, gutter = ""): readonly string[] {
  const boxes = "[ ] ".repeat(Math.min(group.boxes, 12));
  const { before, after } = tagTexts(group.tags ?? { by: [] });
  const lead = `${boxes}${before}${group.word} ${group.text}`.trim() + after;
  return [
    ...gutterLines(gutter, wrapText(lead, room(depth)), depth),
    ...group.blocks.flatMap((block) => blockLines(block, depth + 1)),
    "",
  ];
}

function tagTexts({ by, only, footnote }: Tags): { readonly before: string; readonly after: string } {
  const before = [by.length > 0 ? `[${by.join(", ")}]` : "", only ? `(${only})` : ""].filter(Boolean).join(" ");
  return { before: before ? `${before} ` : "", after: footnote ? ` ${footnote}` : "" };
}

/** A step without a line of its own is numbered at the lead of what hangs from it. */
function stepLines(step: StepBlock, depth: number): readonly string[] {
  const { only, marks, by } = step;
  const tags = tagTexts({ by, ...(only ? { only } : {}), ...(marks.footnote ? { footnote: marks.footnote } : {}) });
  const lines = step.lines.flatMap((line, index) =>
    lineText(line, index === 0 ? tags.before : "", index === 0 ? tags.after : "", room(depth)),
  );
  const gutter = gutterOf(step.number, marks);
  const [first, ...rest] = step.after;
  const bare = lines.length === 0 && first?.kind === "group";
  return [
    ...step.alerts.flatMap((alert) => alertLines(alert, depth)),
    ...gutterLines(gutter, lines, depth),
    ...(bare ? groupLines(first, depth, gutter) : []),
    ...(bare ? rest : step.after).flatMap((block) =>
      blockLines(block, block.kind === "step" || bare ? depth : depth + 1),
    ),
  ];
}

function lineText(line: Line, tags: string, footnote: string, width: number): readonly string[] {
  switch (line.kind) {
    case "pair":
      return pairLines(
        `${line.joined ? "and " : ""}${tags}${line.challenge}${footnote}`,
        `${line.lead ? `${line.lead} ` : ""}${line.response}`,
        width,
      );
    case "plain":
      return wrapText(`${tags}${line.text}${footnote}`, width);
    case "speech":
      return wrapText(`${line.who ? `[${line.who}] ` : tags}says: "${line.text}"${footnote}`, width);
    case "timer":
      return wrapText(`Began ____:____   ${line.end} (+${line.span}) ____:____`, width);
    case "blank":
      return pairLines(`${tags}${line.challenge}${footnote}`, `__________${line.unit ? ` ${line.unit}` : ""}`, width);
    case "lights":
      return lightLines(line, tags, footnote, width);
    case "jump":
      return wrapText(`${tags}-> ${line.word} ${line.to.title} (${line.to.procedure})${footnote}`, width);
    case "end":
      return wrapText(`${tags}>> ${line.word}${line.text ? `: ${line.text}` : ""}${footnote}`, width);
    case "pause":
      return wrapText(`==== PAUSE ==== ${tags}${line.text}${footnote}`, width);
    case "standing":
      return wrapText(`${tags}${line.word}: ${line.text}${footnote}`, width);
    default:
      return unreachable(line);
  }
}

/** Challenge, dots, response: the response ends at the right edge, on the last line of the challenge. */
function pairLines(challenge: string, response: string, width: number): readonly string[] {
  if (!response) return wrapText(challenge, width);
  const answer = wrapText(response, Math.max(12, Math.floor(width * 0.55)));
  const answerWidth = Math.max(...answer.map(columnsOf));
  const ask = wrapText(challenge, width - answerWidth - 5);
  const last = ask.at(-1) ?? "";
  const dots = ".".repeat(Math.max(3, width - columnsOf(last) - answerWidth - 2));
  return [
    ...ask.slice(0, -1),
    `${last} ${dots} ${answer[0] ?? ""}`,
    ...answer.slice(1).map((line) => " ".repeat(width - answerWidth) + line),
  ];
}

function alertLines(alert: Alert, depth: number): readonly string[] {
  const lines = wrapText(alert.text, room(depth) - 4);
  if (alert.kind === "note")
    return gutterLines(
      "",
      lines.map((line, index) => `${index === 0 ? "Note: " : "      "}${line}`.slice(0)),
      depth,
    );
  const [edge, word] = alert.kind === "warning" ? ["#", "WARNING"] : ["!", "CAUTION"];
  return gutterLines("", [`${edge.repeat(3)} ${word}`, ...lines.map((line) => `${edge} ${line}`)], depth);
}

function framed(title: string, lines: readonly string[]): readonly string[] {
  return ["", `+-- ${title} ${"-".repeat(WIDTH - 6 - title.length)}+`, ...lines, `+${"-".repeat(WIDTH - 2)}+`, ""];
}

function gutterOf(number: string, marks: Marks): string {
  return `${marks.changed ? "|" : marks.removedBefore ? "<" : " "}${marks.killer ? "*" : " "}${number.padStart(3)}`;
}

function gutterLines(gutter: string, lines: readonly string[], depth: number): readonly string[] {
  return lines.map((line, index) => `${padRight(index === 0 ? gutter : "", GUTTER)}${"   ".repeat(depth)}${line}`);
}

function room(depth: number): number {
  return Math.max(24, WIDTH - GUTTER - depth * 3);
}

function hanging(lead: string, text: string, indent: number): readonly string[] {
  const lines = wrapText(text, WIDTH - columnsOf(lead) - indent);
  return lines.map((line, index) => `${" ".repeat(indent)}${index === 0 ? lead : " ".repeat(columnsOf(lead))}${line}`);
}

function spread(left: string, right: string): readonly string[] {
  const gap = WIDTH - columnsOf(left) - columnsOf(right);
  if (gap >= 2) return [`${left}${" ".repeat(gap)}${right}`];
  return [...wrapText(left, WIDTH), ...wrapText(right, WIDTH).map((line) => line.padStart(WIDTH))];
}

function centred(text: string): string {
  return " ".repeat(Math.floor((WIDTH - text.length) / 2)) + text;
}
