import type { Place, SourceFile, Span } from "./file.js";

/** The lines of one text. A line ends at LF, CR LF or a lone CR, as in YAML 1.2 and in editors. */
export class Lines {
  readonly #text: string;
  readonly #starts: readonly number[];

  constructor(text: string) {
    this.#text = text;
    this.#starts = lineStarts(text);
  }

  get count(): number {
    return this.#starts.length;
  }

  /** Line and column of an offset, both from 1; an offset beyond the text is at its end. */
  place(offset: number): Place {
    const inside = Math.max(0, Math.min(offset, this.#text.length));
    const index = this.#indexOfLine(inside);
    return { line: index + 1, column: inside - this.#starts[index]! + 1 };
  }

  /** The text of a line, counted from 1, without its end. */
  text(line: number): string {
    const start = this.#starts[line - 1];
    if (start === undefined) return "";
    return this.#text.slice(start, this.#starts[line] ?? this.#text.length).replace(/[\r\n]+$/, "");
  }

  #indexOfLine(offset: number): number {
    let low = 0;
    let high = this.#starts.length - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (this.#starts[middle]! <= offset) low = middle;
      else high = middle - 1;
    }
    return low;
  }
}

/** The lines of a file, worked out once for each file. */
export function linesOf(file: SourceFile): Lines {
  const known = KNOWN.get(file);
  if (known) return known;
  const lines = new Lines(file.text);
  KNOWN.set(file, lines);
  return lines;
}

/** Where a span begins, for people. */
export function placeOf(span: Span): Place {
  return linesOf(span.file).place(span.start);
}

const KNOWN = new WeakMap<SourceFile, Lines>();

function lineStarts(text: string): number[] {
  const starts = [0];
  for (const end of text.matchAll(/\r\n|\n|\r/g)) starts.push(end.index + end[0].length);
  return starts;
}
