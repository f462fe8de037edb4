import type { Count, Lamp, LightCase, Line } from "../card/content.js";
import { columnsOf, padRight, wrapText } from "./columns.js";

/** The lights that must be lit: a list in columns, or a table with the cases side by side. */
export function lightLines(
  line: Extract<Line, { kind: "lights" }>,
  tags: string,
  footnote: string,
  width: number,
): readonly string[] {
  const title = wrapText(`${tags}${line.title}, lit:${footnote}`, width);
  const rest = line.rest ? wrapText(line.rest, width) : [];
  return [...title, ...line.cases.flatMap((one) => caseLines(one, line.cases.length > 1, width)), ...rest];
}

/** `red 2, green 1`. */
export function countText(counts: readonly Count[]): string {
  return counts.map(({ colour, number }) => `${colour} ${number}`).join(", ");
}

function caseLines(one: LightCase, several: boolean, width: number): readonly string[] {
  const head = one.when === undefined ? (several ? ["  Always:"] : []) : wrapText(`  When ${one.when}:`, width);
  const counts = one.counts.length > 0 ? [`  Count: ${countText(one.counts)}`] : [];
  return [...head, ...inColumns(one.lamps.map(lampText), width - 2).map((row) => `  ${row}`), ...counts];
}

function lampText(lamp: Lamp): string {
  const mark = lamp.sound ? "~" : (lamp.colour?.charAt(0).toUpperCase() ?? "?");
  return `[ ] (${mark}) ${lamp.label}${lamp.only ? ` (${lamp.only})` : ""}`;
}

/** Read down, then across, as on the printed card. */
function inColumns(cells: readonly string[], width: number): readonly string[] {
  const widest = Math.max(0, ...cells.map(columnsOf)) + 2;
  const columns = Math.max(1, Math.min(3, Math.floor(width / widest)));
  const rows = Math.ceil(cells.length / columns);
  if (columns === 1) return cells.flatMap((cell) => wrapText(cell, width));
  return Array.from({ length: rows }, (_, row) =>
    Array.from({ length: columns }, (_, column) => padRight(cells[column * rows + row] ?? "", widest)).join(""),
  );
}
