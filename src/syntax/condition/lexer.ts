/** A word, number or mark of a condition; offsets are in the condition's own text. */
export interface Token {
  readonly kind: "word" | "number" | "operator" | "(" | ")" | "/" | "bad" | "end";
  readonly text: string;
  readonly start: number;
  readonly end: number;
}

/**
 * Words are names (`cooling-pump.port`, `drill:crank`), keywords and units; a sign belongs to a number where no number or word is before it. Ends with
 * one `end` token. What fits nothing is one `bad` token a letter.
 */
export function tokenize(text: string): Token[] {
  const tokens: Token[] = [];
  let at = 0;
  while (at < text.length) {
    const found = next(text, at);
    if (found) tokens.push(found);
    at = found?.end ?? at + 1;
  }
  tokens.push({ kind: "end", text: "", start: text.length, end: text.length });
  return tokens;
}

const SPACE = /\s/y;
const SHAPES: readonly (readonly [Token["kind"], RegExp])[] = [
  ["number", /[+-]?[0-9][0-9.,]*(?:[eE][+-]?[0-9]+)?/y],
  ["word", /[\p{L}_%°][\p{L}\p{N}_%°²³·-]*(?:[.:][\p{L}\p{N}_-]+)*/uy],
  ["operator", /<=|>=|!=|==|=<|=>|<>|&&|\|\||[<>=≤≥≠]/y],
  ["(", /\(/y],
  [")", /\)/y],
  ["/", /\//y],
];

function next(text: string, at: number): Token | undefined {
  if (match(SPACE, text, at)) return undefined;
  for (const [kind, shape] of SHAPES) {
    const found = match(shape, text, at);
    if (found) return { kind, text: found, start: at, end: at + found.length };
  }
  const letter = String.fromCodePoint(text.codePointAt(at)!);
  return { kind: "bad", text: letter, start: at, end: at + letter.length };
}

function match(shape: RegExp, text: string, at: number): string | undefined {
  shape.lastIndex = at;
  return shape.exec(text)?.[0];
}
