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
  sayLittle(composer);
  for (const document of composer.compose(concrete(tokens), true, length)) {
    return { root: document.contents as ParsedNode | null, errors: document.errors };
  }
  return { root: null, errors: [] };
}

/** Far more than are told; each costs the library an `Error` with its stack, and a broken file can have half a million. */
const MOST_ERRORS = 100;

/** Makes the composer stop counting. The method is not in its declared interface; a composer without it is only slower. */
function sayLittle(composer: Composer): void {
  const inner = composer as unknown as { onError?: (...error: unknown[]) => void };
  const say = inner.onError;
  if (!say) return;
  let said = 0;
  inner.onError = (...error) => {
    said += 1;
    if (said <= MOST_ERRORS) say(...error);
  };
}

function* concrete(tokens: readonly Lexeme[]) {
  let errors = 0;
  for (const token of syntax(tokens)) {
    if (token.type === "error") errors += 1;
    if (token.type !== "error" || errors <= MOST_ERRORS) yield token;
  }
}

function* syntax(tokens: readonly Lexeme[]) {
  const parser = new Parser();
  for (const token of tokens) yield* parser.next(token.source);
  yield* parser.end();
}
