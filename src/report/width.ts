/** One shown character: what to print for it, how many columns it takes, and where it stands in its text. */
export interface Cell {
  readonly text: string;
  readonly width: number;
  readonly offset: number;
}

const TAB = 4;

/** A line of source as it can be shown: tabs spelled out, control and direction marks made visible and harmless. */
export function cellsOf(line: string): Cell[] {
  const cells: Cell[] = [];
  let column = 0;
  let offset = 0;
  for (const character of line) {
    const cell = character === "\t" ? tab(column, offset) : { ...shown(character), offset };
    cells.push(cell);
    column += cell.width;
    offset += character.length;
  }
  return cells;
}

/** Text from a file or a name, harmless to a terminal; line ends are kept. */
export function harmless(text: string): string {
  return text.replace(UNSAFE, (character) => (character === "\n" ? character : shown(character).text));
}

/** Columns that a text takes in a terminal. */
export function widthOf(text: string): number {
  let width = 0;
  for (const character of text) width += shown(character).width;
  return width;
}

export function padded(text: string, width: number): string {
  return text + " ".repeat(Math.max(0, width - widthOf(text)));
}

/** C0 and C1 controls, and the marks that change the direction of text (the "Trojan source" ones, Unicode UAX 9). */
const UNSAFE = /[\p{Cc}\u061C\u200E\u200F\u2028-\u202E\u2066-\u2069]/gu;

/** Wide in East Asian Width (Unicode UAX 11), the common blocks, and emoji. */
const WIDE =
  /[\u1100-\u115F\u2E80-\u303E\u3041-\uA4CF\uA960-\uA97C\uAC00-\uD7A3\uF900-\uFAFF\uFE30-\uFE6F\uFF01-\uFF60\uFFE0-\uFFE6\u{20000}-\u{3FFFD}]|\p{Emoji_Presentation}/u;
const NO_WIDTH = /[\p{Mn}\p{Me}\u200B-\u200D\u2060\uFEFF]/u;

function tab(column: number, offset: number): Cell {
  const width = TAB - (column % TAB);
  return { text: " ".repeat(width), width, offset };
}

function shown(character: string): Omit<Cell, "offset"> {
  const code = character.codePointAt(0)!;
  if (code >= 0x20 && code < 0x7f) return { text: character, width: 1 };
  if (code < 0x20) return { text: String.fromCodePoint(0x2400 + code), width: 1 };
  if (character.search(UNSAFE) === 0) return { text: "\uFFFD", width: 1 };
  if (NO_WIDTH.test(character)) return { text: character, width: 0 };
  return { text: character, width: WIDE.test(character) ? 2 : 1 };
}
