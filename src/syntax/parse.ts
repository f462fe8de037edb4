import type { Finding, Outcome } from "../diagnostics/finding.js";
import type { SourceFile } from "../source/file.js";
import { settleFew } from "./limits.js";
import { checkText, nothingWritten } from "./read.js";
import { checkShape } from "./shape/check.js";
import type { Document } from "./tree.js";
import { checkBrackets } from "./yaml/brackets.js";
import { type Composed, compose } from "./yaml/compose.js";
import { checkContent } from "./yaml/content.js";
import { type Converted, convert } from "./yaml/convert.js";
import { type Lexeme, lexemes } from "./yaml/lexemes.js";
import { checkDepth, checkLexemes, firstDocument } from "./yaml/profile.js";
import { checkColons, checkComments } from "./yaml/prose.js";
import { lineEnd } from "./yaml/rest.js";
import { checkListPlace, inOurWords } from "./yaml/syntax-error.js";

/**
 * One file's text to its located, shape-checked tree. Without a value where it is no YAML, holds no map, or is of no kind that we know;
 * with one, parts that a finding is about may be missing or misshapen. Never throws, whatever the text.
 */
export function parseDocument(file: SourceFile): Outcome<Document | undefined> {
  const unreadable = checkText(file);
  if (unreadable.length > 0) return { value: undefined, findings: unreadable };
  const tokens = lexemes(file.text);
  const tooDeep = checkDepth(file, tokens);
  if (tooDeep.length > 0) return { value: undefined, findings: tooDeep };
  const composed = compose(firstDocument(tokens), file.text.length);
  const converted = convert(file, composed.root);
  const syntax = checkSyntax(file, tokens, composed, converted);
  if (!converted.root)
    return { value: undefined, findings: settleFew(syntax.length > 0 ? syntax : [nothingWritten(file)]) };
  const shaped = checkShape(file, converted.root, converted.holes);
  return { value: shaped.value, findings: settleFew([...syntax, ...(isBroken(composed) ? [] : shaped.findings)]) };
}

/** Where the YAML itself is broken its parts are not where the author put them: nothing is said about their shape. */
function isBroken(composed: Composed): boolean {
  return composed.errors.length > 0;
}

/** Each thing that went wrong once: what explains an error of the YAML stands for it. */
function checkSyntax(file: SourceFile, tokens: readonly Lexeme[], composed: Composed, converted: Converted): Finding[] {
  const document = firstDocument(tokens);
  const certain = [...checkLexemes(file, tokens), ...checkComments(file, document)];
  const brackets = isBroken(composed) && certain.length === 0 ? checkBrackets(file, document) : [];
  if (brackets.length > 0) return brackets;
  const cut = [...certain, ...checkColons(file, document), ...checkListPlace(file, document)];
  const cutLines = new Set(cut.map((found) => lineEnd(file.text, found.at.start)));
  const content = checkContent(converted).filter((found) => !cutLines.has(lineEnd(file.text, found.at.start)));
  return [...cut, ...content, ...inOurWords(file, composed.errors, [...cut, ...content])];
}
