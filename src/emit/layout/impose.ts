import { INK, type Mark } from "../drawing/marks.js";
import type { Book, OutlineEntry } from "./book.js";
import { decorationOf, type Page, partOf } from "./page.js";
import type { Paper } from "./paper.js";

const MARK = 14;
const CLEAR = 4;

/**
 * Puts pages two or four up on sheets, in reading order, with marks outside of them to cut along. Undefined where the pages do not
 * fit the sheet in their own size: nothing is ever made smaller, since type is chosen for a reading distance.
 */
export function sheetsOf(book: Book, sheet: Paper, up: 2 | 4): Book | undefined {
  const [first] = book.pages;
  if (!first) return book;
  const grid =
    up === 4
      ? { columns: 2, rows: 2 }
      : first.width * 2 <= sheet.width + 0.1
        ? { columns: 2, rows: 1 }
        : { columns: 1, rows: 2 };
  const left = (sheet.width - grid.columns * first.width) / 2;
  const top = (sheet.height - grid.rows * first.height) / 2;
  if (left < -0.1 || top < -0.1) return undefined;
  const cells = Array.from({ length: up }, (_, index) => ({
    x: left + (index % grid.columns) * first.width,
    y: top + Math.floor(index / grid.columns) * first.height,
  }));
  const pages: Page[] = [];
  for (let at = 0; at < book.pages.length; at += up) {
    const parts = book.pages
      .slice(at, at + up)
      .map((page, index) => partOf(page, cells[index]?.x ?? 0, cells[index]?.y ?? 0));
    pages.push({
      width: sheet.width,
      height: sheet.height,
      contents: [decorationOf(cutMarks(sheet, first, grid, left, top)), ...parts.flatMap((part) => part.contents)],
      parts: parts.flatMap((part) => part.parts),
    });
  }
  return { ...book, pages, outline: book.outline.map((entry) => onSheet(entry, up)) };
}

function onSheet(entry: OutlineEntry, up: number): OutlineEntry {
  return {
    title: entry.title,
    page: Math.floor(entry.page / up),
    inside: entry.inside.map((inner) => onSheet(inner, up)),
  };
}

/** Short strokes on every cutting line, at the edges of the sheet where there is room, and between pages as hairlines across. */
function cutMarks(
  sheet: Paper,
  page: Page,
  grid: { columns: number; rows: number },
  left: number,
  top: number,
): readonly Mark[] {
  const marks: Mark[] = [];
  const line = (x1: number, y1: number, x2: number, y2: number, dash?: readonly number[]) =>
    marks.push({
      kind: "path",
      pieces: [
        { to: "move", x: x1, y: y1 },
        { to: "line", x: x2, y: y2 },
      ],
      stroke: INK,
      weight: 0.3,
      ...(dash ? { dash } : {}),
    });
  const bottom = top + grid.rows * page.height;
  const right = left + grid.columns * page.width;
  for (let column = 0; column <= grid.columns; column += 1) {
    const x = left + column * page.width;
    if (top > CLEAR) {
      line(x, Math.max(0, top - CLEAR - MARK), x, top - CLEAR);
      line(x, bottom + CLEAR, x, Math.min(sheet.height, bottom + CLEAR + MARK));
    }
    if (column > 0 && column < grid.columns) line(x, top, x, bottom, [2, 4]);
  }
  for (let row = 0; row <= grid.rows; row += 1) {
    const y = top + row * page.height;
    if (left > CLEAR) {
      line(Math.max(0, left - CLEAR - MARK), y, left - CLEAR, y);
      line(right + CLEAR, y, Math.min(sheet.width, right + CLEAR + MARK), y);
    }
    if (row > 0 && row < grid.rows) line(left, y, right, y, [2, 4]);
  }
  return marks;
}
