import type { Lexeme } from "./lexemes.js";

/** A token with what is around it. */
export interface Seen {
  readonly token: Lexeme;
  /** The two tokens before it that are neither marks nor space. */
  readonly before: Lexeme | undefined;
  readonly beforeThat: Lexeme | undefined;
  /** Spaces directly before it. */
  readonly gap: number;
  /** True within { } or [ ]. */
  readonly inBrackets: boolean;
  /** The latest key, and the column at which it stands. */
  readonly key: { readonly text: string; readonly column: number } | undefined;
  /** The offset at which its line begins. */
  readonly lineStart: number;
}

/** The tokens one after the other, each with what is around it; marks and space are passed over. */
export function* scan(tokens: readonly Lexeme[]): Generator<Seen> {
  let brackets = 0;
  let before: Lexeme | undefined;
  let beforeThat: Lexeme | undefined;
  let gap = 0;
  let key: Seen["key"];
  let lineStart = 0;
  for (const token of tokens) {
    if (token.type === "mark") continue;
    if (token.type === "flow-error-end") {
      brackets = 0;
      continue;
    }
    if (token.type === "space") {
      gap = token.source.length;
      continue;
    }
    if (token.type === "map-value-ind" && before) key = { text: before.source, column: before.offset - lineStart };
    if (CLOSING.has(token.type)) brackets = Math.max(0, brackets - 1);
    yield { token, before, beforeThat, gap, inBrackets: brackets > 0, key, lineStart };
    if (OPENING.has(token.type)) brackets += 1;
    if (token.source.endsWith("\n")) lineStart = token.offset + token.source.length;
    beforeThat = before;
    before = token;
    gap = 0;
  }
}

const OPENING: ReadonlySet<string> = new Set(["flow-map-start", "flow-seq-start"]);
const CLOSING: ReadonlySet<string> = new Set(["flow-map-end", "flow-seq-end"]);
