import { stretchesOf } from "../drawing/coverage.js";
import type { Face } from "../drawing/marks.js";
import type { FaceBytes } from "../drawing/measure.js";

type Open = PDFKit.PDFDocument & { readonly _font: { readonly font: OpenFont } };

interface OpenFont {
  readonly unitsPerEm: number;
  hasGlyphForCodePoint(codePoint: number): boolean;
  layout(text: string): { readonly advanceWidth: number };
}

/** Drawn for a character that no face has; a finding names it. */
const MISSING = "?";

/** The faces of one PDF file; each is embedded only if something is set in it. */
export class FaceBook {
  private readonly opened = new Map<string, OpenFont>();
  private readonly widths = new Map<string, number>();

  constructor(
    private readonly document: PDFKit.PDFDocument,
    bytes: FaceBytes,
  ) {
    for (const face of ["regular", "bold", "italic"] as const) {
      document.registerFont(face, Buffer.from(bytes[face]));
      document.registerFont(`${face} fallback`, Buffer.from(bytes.fallback[face]));
    }
  }

  /** Draws one line of text from `x` on the base line `y`, changing faces where a glyph is missing. */
  draw(text: string, face: Face, size: number, x: number, y: number): void {
    let at = x;
    for (const { name, text: part } of this.parts(text, face)) {
      this.document.font(name, size);
      this.document.text(part, at, y, { lineBreak: false, baseline: "alphabetic" });
      at += this.width(name, part) * size;
    }
  }

  widthOf(text: string, face: Face, size: number): number {
    return this.parts(text, face).reduce((sum, { name, text: part }) => sum + this.width(name, part) * size, 0);
  }

  private parts(text: string, face: Face): readonly { readonly name: string; readonly text: string }[] {
    if (/^[\x20-\x7e]*$/.test(text)) return [{ name: face, text }];
    const stretches = stretchesOf(text, this.open(face), this.open(`${face} fallback`));
    return stretches.map((stretch) =>
      stretch.from === "none"
        ? { name: face, text: MISSING.repeat([...stretch.text].length) }
        : { name: stretch.from === "face" ? face : `${face} fallback`, text: stretch.text },
    );
  }

  private width(name: string, text: string): number {
    const key = `${name}\n${text}`;
    const known = this.widths.get(key);
    if (known !== undefined) return known;
    const font = this.open(name);
    const width = font.layout(text).advanceWidth / font.unitsPerEm;
    this.widths.set(key, width);
    return width;
  }

  private open(name: string): OpenFont {
    const known = this.opened.get(name);
    if (known) return known;
    this.document.font(name);
    const { font } = (this.document as Open)._font;
    this.opened.set(name, font);
    return font;
  }
}
