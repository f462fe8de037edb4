import type { Alert } from "../card/content.js";
import { enclose, NEVER, type Piece, pieces, type Row } from "./piece.js";
import { decoration, paragraph, withContents } from "./rows.js";
import { body, type Column, lineHeight, type Setting } from "./setting.js";
import { alertSign } from "./signs.js";
import { type Tag, tag } from "./structure.js";
import { wordsOf } from "./words.js";

/**
 * Warnings, cautions and notes before their step. Told apart by word, frame and sign, not by colour: a warning has a double
 * frame, a filled triangle and bold type; a caution a single one, an empty triangle and plain type; a note no frame.
 */
export function alertPieces(
  setting: Setting,
  alerts: readonly Alert[],
  column: Column,
  parent: Tag,
  step: string,
  notes = column,
): readonly Piece[] {
  return alerts.flatMap((alert) =>
    alert.kind === "note"
      ? notePieces(setting, alert, notes, parent, step)
      : framedPieces(setting, alert, alert.kind, column, parent, step),
  );
}

function notePieces(setting: Setting, alert: Alert, column: Column, parent: Tag, step: string): readonly Piece[] {
  const words = [
    ...wordsOf(setting.measure, "Note:", body(setting, "italic")),
    ...wordsOf(setting.measure, alert.text, body(setting)),
  ];
  const rows = paragraph(setting, words, column, { tag: tag(parent, "P"), purpose: "alert", step });
  return pieces(rows, { part: "alert", step, before: setting.profile.body * 0.3 });
}

function framedPieces(
  setting: Setting,
  alert: Alert,
  kind: "warning" | "caution",
  column: Column,
  parent: Tag,
  step: string,
): readonly Piece[] {
  const size = setting.profile.body * 1.5;
  const pad = setting.profile.body * (kind === "warning" ? 0.6 : 0.45);
  const x = column.x + pad + size + setting.profile.body * 0.5;
  const inner = { x, width: column.x + column.width - pad - x };
  const owner = tag(parent, "P");
  const said = { tag: owner, purpose: "alert" as const, step };
  const word = paragraph(
    setting,
    wordsOf(setting.measure, kind === "warning" ? "WARNING" : "CAUTION", body(setting, "bold")),
    inner,
    said,
  );
  const text = paragraph(
    setting,
    wordsOf(setting.measure, alert.text, body(setting, kind === "warning" ? "bold" : "regular")),
    inner,
    said,
  );
  const sign = decoration(alertSign(kind, column.x + pad, (lineHeight(setting) - size) / 2 + size * 0.18, size));
  const rows: readonly Row[] = [...word.map((row, index) => (index === 0 ? withContents(row, [sign]) : row)), ...text];
  const inside = pieces(rows, { part: "alert", step, penalty: 0 });
  const gap = setting.profile.body * 0.5;
  const framed = enclose(inside, { style: kind, x: column.x, width: column.width, pad });
  return framed.map((piece, index) => ({
    ...piece,
    before: piece.before + (index === 0 ? gap : 0),
    after: piece.after + (index === framed.length - 1 ? gap * 0.4 : 0),
  }));
}

/** Nothing may come between an alert and what it protects. */
export function gluedTo(alerts: readonly Piece[], rest: readonly Piece[]): readonly Piece[] {
  const glued = [...alerts, ...rest];
  return alerts.length === 0
    ? rest
    : glued.map((piece, index) => (index > 0 && index <= alerts.length ? { ...piece, penalty: NEVER } : piece));
}
