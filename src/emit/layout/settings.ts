import type { CardSettings } from "../../program/program.js";
import type { Binding } from "./margins.js";
import { type Paper, paperOf } from "./paper.js";
import { type Profile, profileOf } from "./profile.js";

/** How a project has its cards printed, with what it wrote understood. */
export interface PrintSettings {
  readonly paper: Paper;
  readonly profile: Profile;
  /** Colour of the paper, `#rrggbb`. */
  readonly stock: string;
  readonly binding: Binding;
  readonly boxes: boolean;
  readonly sheet?: { readonly paper: Paper; readonly up: 2 | 4 };
  /** Settings that say nothing that can be printed; what is usual was taken instead. */
  readonly unknown: readonly { readonly key: string; readonly text: string; readonly known: string }[];
}

const STOCKS: ReadonlyMap<string, string> = new Map([
  ["white", "#ffffff"],
  ["yellow", "#ffe97f"],
]);
const BINDINGS: readonly Binding[] = ["left", "mirrored", "top", "none"];

/** Reads the settings of a project's `cards`. */
export function printSettings(cards: CardSettings): PrintSettings {
  const unknown: { key: string; text: string; known: string }[] = [];
  const read = <T>(key: string, text: string, found: T | undefined, usual: T, known: string): T => {
    if (found === undefined) unknown.push({ key, text, known });
    return found ?? usual;
  };
  const { paper, profile, stock = "white", binding = "left", boxes = "false", sheet } = cards;
  const up = sheet === undefined ? undefined : sheetOf(sheet);
  if (sheet !== undefined && !up)
    unknown.push({ key: "sheet", text: sheet, known: "`2 on A4`, `4 on A4`, `2 on Letter`" });
  return {
    paper: read(
      "paper",
      paper,
      paperOf(paper),
      usualPaper(),
      "A4, A5, A6, A7, Letter, half-letter, or a size such as `105 x 148 mm`",
    ),
    profile: read(
      "profile",
      profile,
      profileOf(profile),
      usualProfile(),
      "in-hand, arm-length, console, wall, display-arc, or such as `11 pt at 500 mm`",
    ),
    stock: read(
      "stock",
      stock,
      STOCKS.get(stock.toLowerCase()) ?? hexOf(stock),
      "#ffffff",
      "white, yellow, or a colour such as `#ffe680`",
    ),
    binding: read(
      "binding",
      binding,
      BINDINGS.find((one) => one === binding),
      "left",
      "left, mirrored, top, none",
    ),
    boxes: read("boxes", boxes, boxes === "true" ? true : boxes === "false" ? false : undefined, false, "true, false"),
    ...(up ? { sheet: up } : {}),
    unknown,
  };
}

function hexOf(text: string): string | undefined {
  return /^#[0-9a-f]{6}$/i.test(text) ? text.toLowerCase() : undefined;
}

function sheetOf(text: string): PrintSettings["sheet"] {
  const match = /^([24])\s+on\s+(.+)$/i.exec(text.trim());
  const paper = match?.[2] && paperOf(match[2]);
  return match && paper ? { paper, up: match[1] === "4" ? 4 : 2 } : undefined;
}

function usualPaper(): Paper {
  return paperOf("A5") as Paper;
}

function usualProfile(): Profile {
  return profileOf("arm-length") as Profile;
}
