import type { Count, Lamp, LampRow, Line } from "../card/content.js";
import { columnsOf, padRight, wrapText } from "./columns.js";

type Lights = Extract<Line, { kind: "lights" }>;

/** The lights that must be lit: a list in columns, or a table with the cases side by side. */
export function lightLines(line: Lights, tags: string, footnote: string, width: number): readonly string[] {
  const title = wrapText(`${tags}${line.title}, lit:${footnote}`, width);
  const rest = line.rest ? wrapText(line.rest, width) : [];
  return [...title, ...(line.cases.length > 1 ? tableLines(line, width) : listLines(line, width)), ...rest];
}

/** `red 2, green 1`. */
export function countText(counts: readonly Count[]): string {
  return counts.map(({ colour, number }) => `${colour} ${number}`).join(", ");
}

/** `(R) LOW OIL`. */
export function lampName(lamp: Lamp): string {
  return `(${letterOf(lamp)}) ${nameOf(lamp)}`;
}

function listLines(line: Lights, width: number): readonly string[] {
  const cells = line.lamps.map(({ lamp }) => `[ ] ${lampName(lamp)}`);
  const counts = line.cases[0]?.counts ?? [];
  const total = counts.length > 0 ? [`  Count: ${countText(counts)}`] : [];
  return [...inColumns(cells, width - 2).map((row) => `  ${row}`), ...total];
}

/** Conditions are listed above and lettered, since they are longer than a column is wide. */
function tableLines(line: Lights, width: number): readonly string[] {
  const letters = line.cases.map((_, index) => String.fromCharCode(97 + (index % 26)));
  const key = line.cases.flatMap(({ heading }, index) => wrapText(`  (${letters[index]}) ${heading}`, width));
  const room = Math.max(8, width - 2 - letters.length * 6);
  const head = `  ${" ".repeat(room)}${letters.map((letter) => ` (${letter})  `).join("")}`;
  const rows = line.lamps.flatMap((row) => lampLines(row, room));
  const counts = line.cases.map((one, index) => `  Count (${letters[index]}): ${countText(one.counts) || "none lit"}`);
  return [...key, head, ...rows, ...counts];
}

function lampLines(row: LampRow, room: number): readonly string[] {
  const names = wrapText(nameOf(row.lamp), room - 1);
  const cells = row.lit.map((lit) => ` ${lit ? `(${letterOf(row.lamp)})` : " - "}  `).join("");
  return names.map((name, index) => `  ${padRight(name, room)}${index === 0 ? cells : ""}`);
}

function nameOf(lamp: Lamp): string {
  return `${lamp.label}${lamp.sound ? " sounds" : ""}${lamp.only ? ` (${lamp.only})` : ""}`;
}

function letterOf(lamp: Lamp): string {
  return lamp.sound ? "~" : (lamp.colour?.charAt(0).toUpperCase() ?? "?");
}

/** Read across, as on the printed card. */
function inColumns(cells: readonly string[], width: number): readonly string[] {
  const widest = Math.max(0, ...cells.map(columnsOf)) + 2;
  const columns = Math.max(1, Math.min(3, Math.floor(width / widest)));
  if (columns === 1) return cells.flatMap((cell) => wrapText(cell, width));
  const rows = Math.ceil(cells.length / columns);
  return Array.from({ length: rows }, (_, row) =>
    cells
      .slice(row * columns, (row + 1) * columns)
      .map((cell) => padRight(cell, widest))
      .join(""),
  );
}
