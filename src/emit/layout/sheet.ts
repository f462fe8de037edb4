import type { Margins } from "./margins.js";
import { moved } from "./move.js";
import { continuedRows } from "./paginate.js";
import type { Content, Piece, Row } from "./piece.js";
import { drawnRun } from "./run.js";
import { lineHeight, type Setting } from "./setting.js";

/** Everything on one page but the flow itself. */
export interface Sheet {
  readonly setting: Setting;
  readonly head: Row;
  readonly foot: Row;
  readonly more: Row | undefined;
  readonly bottom: number;
  readonly gap: number;
  readonly margins: Margins;
}

/** The contents of a page that holds the flow from `start` to before `end`, in reading order. */
export function sheetContents(sheet: Sheet, flow: readonly Piece[], start: number, end: number): readonly Content[] {
  const { margins, setting } = sheet;
  const at = (row: Row, y: number) => row.contents.map((one) => moved(one, margins.left, y));
  const top = margins.top + sheet.head.height + sheet.gap;
  const footTop = sheet.bottom - sheet.foot.height;
  const moreTop = footTop - lineHeight(setting, setting.profile.small);
  const contents: Content[] = [...at(sheet.head, margins.top)];
  let y = top;
  for (const row of start === 0 ? [] : continuedRows(flow, start)) {
    contents.push(...at(row, y));
    y += row.height;
  }
  const run = drawnRun(flow, start, end, y, moreTop - sheet.gap * 0.5).map((one) => moved(one, margins.left, 0));
  return [...contents, ...run, ...(sheet.more ? at(sheet.more, moreTop) : []), ...at(sheet.foot, footTop)];
}
