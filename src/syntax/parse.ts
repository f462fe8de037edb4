import type { Finding, Outcome } from "../diagnostics/finding.js";
import { settle } from "../diagnostics/sink.js";
import type { SourceFile } from "../source/file.js";
import { checkText, nothingWritten } from "./read.js";
import { checkShape } from "./shape/check.js";
import type { Document } from "./tree.js";
import { compose } from "./yaml/compose.js";
import { checkConverted } from "./yaml/content.js";
import { convert } from "./yaml/convert.js";
import { lexemes } from "./yaml/lexemes.js";
import { checkDepth, checkLexemes, firstDocument } from "./yaml/profile.js";
import { inOurWords } from "./yaml/syntax-error.js";

/**
 * One file's text to its located, shape-checked tree. Without a value where it is no YAML, holds no map, or is of no kind that we know;
 * with one, parts that a finding is about may be missing or misshapen. Never throws, whatever the text.
 */
export function parseDocument(file: SourceFile): Outcome<Document | undefined> {
  const unreadable = checkText(file);
  if (unreadable.length > 0) return { value: undefined, findings: unreadable };
  const tokens = lexemes(file.text);
  const depth = checkDepth(file, tokens);
  if (depth.length > 0) return { value: undefined, findings: depth };
  const document = firstDocument(tokens);
  const composed = compose(document, file.text.length);
  const converted = convert(file, composed.root);
  const profile = [...checkLexemes(file, tokens), ...checkConverted(converted)];
  const broken = inOurWords(file, composed.errors, profile);
  const findings = [...profile, ...broken];
  if (!converted.root)
    return { value: undefined, findings: settle(findings.length > 0 ? findings : [nothingWritten(file)]) };
  const shaped = checkShape(file, converted.root, converted.holes);
  return { value: shaped.value, findings: settle([...findings, ...afterSyntax(shaped.findings, broken)]) };
}

/** Where the YAML itself is broken its parts are not where the author put them: nothing more is said about their shape. */
function afterSyntax(shape: readonly Finding[], broken: readonly Finding[]): readonly Finding[] {
  return broken.length > 0 ? [] : shape;
}
