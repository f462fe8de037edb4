declare module "fontkit" {
  export interface Font {
    readonly unitsPerEm: number;
    readonly ascent: number;
    readonly descent: number;
    readonly capHeight: number;
    readonly xHeight: number;
    hasGlyphForCodePoint(codePoint: number): boolean;
    layout(text: string): { readonly advanceWidth: number };
  }
  export function create(bytes: Uint8Array): Font;
}
