import type { Mark } from "../drawing/marks.js";
import type { Content } from "./piece.js";

/** The content, its marks and its link, moved by so many points. */
export function moved(one: Content, dx: number, dy: number): Content {
  const link = one.link && { ...one.link, x: one.link.x + dx, y: one.link.y + dy };
  return { ...one, marks: one.marks.map((mark) => movedMark(mark, dx, dy)), ...(link ? { link } : {}) };
}

export function movedMark(mark: Mark, dx: number, dy: number): Mark {
  switch (mark.kind) {
    case "group":
      return { ...mark, marks: mark.marks.map((inner) => movedMark(inner, dx, dy)) };
    case "path":
      return {
        ...mark,
        pieces: mark.pieces.map((piece) => {
          if (piece.to === "close") return piece;
          if (piece.to !== "curve") return { ...piece, x: piece.x + dx, y: piece.y + dy };
          const [a, b, c, d] = piece.by;
          return { ...piece, by: [a + dx, b + dy, c + dx, d + dy] as const, x: piece.x + dx, y: piece.y + dy };
        }),
      };
    default:
      return { ...mark, x: mark.x + dx, y: mark.y + dy };
  }
}
