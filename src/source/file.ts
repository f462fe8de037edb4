/** A text and the name by which reports call it. `path` is relative to the project's root, with forward slashes. */
export interface SourceFile {
  readonly path: string;
  readonly text: string;
}

/** A half-open range of UTF-16 offsets in a file. Offsets inside the program; lines and columns only at the edge. */
export interface Span {
  readonly file: SourceFile;
  readonly start: number;
  readonly end: number;
}

/** A place for people: both counted from 1; the column counts UTF-16 units. */
export interface Place {
  readonly line: number;
  readonly column: number;
}

/** The span from the beginning of one to the end of the other, both in one file. */
export function spanning(first: Span, last: Span): Span {
  return { file: first.file, start: Math.min(first.start, last.start), end: Math.max(first.end, last.end) };
}
