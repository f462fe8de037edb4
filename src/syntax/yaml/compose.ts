import { Composer, type ParsedNode, Parser, type YAMLError } from "yaml";
import type { Lexeme } from "./lexemes.js";

export interface Composed {
  readonly root: ParsedNode | null;
  readonly errors: readonly YAMLError[];
}

/**
 * The first document of the tokens as the library's nodes, in the schema that leaves every scalar a text. `length` is the length of the
 * whole text. The tokens must not be nested deeper than the stack allows: see `tooDeep`.
 */
export function compose(tokens: readonly Lexeme[], length: number): Composed {
  const composer = new Composer({ schema: "failsafe", keepSourceTokens: true, uniqueKeys: false, version: "1.2" });
  for (const document of composer.compose(concrete(tokens), true, length)) {
    return { root: document.contents as ParsedNode | null, errors: document.errors };
  }
  return { root: null, errors: [] };
}

function* concrete(tokens: readonly Lexeme[]) {
  const parser = new Parser();
  for (const token of tokens) yield* parser.next(token.source);
  yield* parser.end();
}
