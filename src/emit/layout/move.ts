import { unreachable } from "../../invariant.js";
import type { Mark, PathPiece } from "../drawing/marks.js";
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

/** The mark `scale` times as large about the origin, then moved. */
export function scaledMark(mark: Mark, scale: number, dx: number, dy: number): Mark {
  const at = (x: number, y: number) => ({ x: x * scale + dx, y: y * scale + dy });
  const pen =
    "weight" in mark || "stroke" in mark ? { weight: ((mark as { weight?: number }).weight ?? 1) * scale } : {};
  switch (mark.kind) {
    case "group":
      return { ...mark, marks: mark.marks.map((inner) => scaledMark(inner, scale, dx, dy)) };
    case "text":
      return { ...mark, ...at(mark.x, mark.y), size: mark.size * scale };
    case "circle":
      return { ...mark, ...at(mark.x, mark.y), ...pen, radius: mark.radius * scale };
    case "rect":
      return {
        ...mark,
        ...at(mark.x, mark.y),
        ...pen,
        width: mark.width * scale,
        height: mark.height * scale,
        ...(mark.radius ? { radius: mark.radius * scale } : {}),
      };
    case "path":
      return {
        ...mark,
        ...pen,
        ...(mark.dash ? { dash: mark.dash.map((length) => length * scale) } : {}),
        pieces: mark.pieces.map((piece) => scaledPiece(piece, at)),
      };
    default:
      return unreachable(mark);
  }
}

function scaledPiece(
  piece: PathPiece,
  at: (x: number, y: number) => { readonly x: number; readonly y: number },
): PathPiece {
  if (piece.to === "close") return piece;
  if (piece.to !== "curve") return { ...piece, ...at(piece.x, piece.y) };
  const [a, b] = [at(piece.by[0], piece.by[1]), at(piece.by[2], piece.by[3])];
  return { ...piece, by: [a.x, a.y, b.x, b.y], ...at(piece.x, piece.y) };
}
