import type { FindingKind } from "../diagnostics/finding.js";
import { CONDITION_SYNTAX, CONDITION_TOO_DEEP, MIXED, QUANTITY_SYNTAX, TWO_READINGS } from "./condition/complaint.js";
import { CONTROL_CHARACTER, EMPTY, NOT_UTF8, TOO_LARGE } from "./read.js";
import { UNKNOWN_FORMAT, UNKNOWN_KIND } from "./shape/check.js";
import { LISTED_TWICE } from "./shape/lists.js";
import { RULE_FORM } from "./shape/rules.js";
import { BAD_NAME, MISSING_KEY, UNKNOWN_KEY } from "./shape/schema-keys.js";
import { WRONG_VALUE } from "./shape/schema-values.js";
import { INCOMPLETE_STEP, NO_VERB, STRAY_KEY, TWO_VERBS } from "./shape/steps.js";
import { UNCLOSED } from "./yaml/brackets.js";
import { BAD_KEY, COMMA_ENDS_TEXT, DUPLICATE_KEY, EMPTY_VALUE, MERGE_KEY, NO_COLON } from "./yaml/content.js";
import { ALIAS, ANCHOR, DIRECTIVE, NESTED_TOO_DEEP, SECOND_DOCUMENT, TAB, TAG } from "./yaml/profile.js";
import { COLON_ENDS_TEXT, COMMENT_EATS_TEXT } from "./yaml/prose.js";
import { YAML_SYNTAX } from "./yaml/syntax-error.js";

/** Every finding of reading a file, from bytes to conditions. */
export const SYNTAX_KINDS: readonly FindingKind[] = [
  TOO_LARGE,
  NOT_UTF8,
  EMPTY,
  CONTROL_CHARACTER,
  YAML_SYNTAX,
  UNCLOSED,
  NESTED_TOO_DEEP,
  ANCHOR,
  ALIAS,
  MERGE_KEY,
  TAG,
  DIRECTIVE,
  SECOND_DOCUMENT,
  TAB,
  EMPTY_VALUE,
  NO_COLON,
  BAD_KEY,
  DUPLICATE_KEY,
  COMMENT_EATS_TEXT,
  COMMA_ENDS_TEXT,
  COLON_ENDS_TEXT,
  UNKNOWN_KIND,
  UNKNOWN_FORMAT,
  UNKNOWN_KEY,
  MISSING_KEY,
  WRONG_VALUE,
  BAD_NAME,
  LISTED_TWICE,
  NO_VERB,
  TWO_VERBS,
  STRAY_KEY,
  INCOMPLETE_STEP,
  RULE_FORM,
  CONDITION_SYNTAX,
  MIXED,
  TWO_READINGS,
  CONDITION_TOO_DEEP,
  QUANTITY_SYNTAX,
];
