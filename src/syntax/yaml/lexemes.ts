import { CST, Lexer } from "yaml";

/**
 * One token of YAML as written. A `mark` and a `flow-error-end` have no text in the file: the library puts the one before what it
 * announces, the other where brackets end unclosed. `text` is the content of a plain or block scalar, which comes after a mark.
 */
export interface Lexeme {
  readonly type: CST.TokenType | "mark" | "text";
  readonly source: string;
  readonly offset: number;
}

/** Levels of lists and maps inside each other. A long procedure needs about 20. */
export const DEEPEST = 100;

/** The tokens of a text, in order. Works in a loop: depth of nesting costs no stack. */
export function lexemes(text: string): Lexeme[] {
  const found: Lexeme[] = [];
  let offset = 0;
  let announced = false;
  for (const source of new Lexer().lex(text)) {
    const isMark: boolean = !announced && MARKS.has(source);
    found.push({ type: typeOf(source, announced), source, offset });
    announced = isMark && source === CST.SCALAR;
    if (!isMark) offset += source.length;
  }
  return found;
}

function typeOf(source: string, announced: boolean): Lexeme["type"] {
  if (announced) return "text";
  if (source === CST.DOCUMENT || source === CST.SCALAR) return "mark";
  return CST.tokenType(source) ?? "text";
}

const MARKS: ReadonlySet<string> = new Set([CST.DOCUMENT, CST.FLOW_END, CST.SCALAR]);

/** The first token that lies deeper than `DEEPEST`; asked before anything that works by recursion sees the text. */
export function tooDeep(tokens: readonly Lexeme[]): Lexeme | undefined {
  const depth = new Depth();
  return tokens.find((token) => depth.after(token) > DEEPEST);
}

/** Levels open: brackets, and outside of them the columns at which lines and indicators of items stand. */
class Depth {
  #brackets = 0;
  #columns: number[] = [];
  #lineStart = 0;
  #lineBegins = true;

  after(token: Lexeme): number {
    switch (token.type) {
      case "mark":
      case "space":
      case "comment":
        break;
      case "flow-error-end":
        this.#brackets = 0;
        break;
      case "flow-map-end":
      case "flow-seq-end":
        this.#brackets = Math.max(0, this.#brackets - 1);
        break;
      case "flow-map-start":
      case "flow-seq-start":
        this.#inBlock(token);
        this.#brackets += 1;
        break;
      case "newline":
        break;
      default:
        this.#inBlock(token);
    }
    if (token.source.endsWith("\n")) this.#nextLine(token);
    return this.#columns.length + this.#brackets;
  }

  #inBlock(token: Lexeme): void {
    if (this.#brackets > 0) return;
    const column = token.offset - this.#lineStart;
    if (this.#lineBegins) this.#columns = this.#columns.filter((open) => open < column);
    if (this.#lineBegins || NESTING.has(token.type)) this.#columns.push(column);
    this.#lineBegins = false;
  }

  #nextLine(token: Lexeme): void {
    this.#lineStart = token.offset + token.source.length;
    this.#lineBegins = true;
  }
}

const NESTING: ReadonlySet<string> = new Set(["seq-item-ind", "explicit-key-ind", "map-value-ind"]);
