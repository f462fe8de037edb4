import type { FindingKind } from "../diagnostics/finding.js";
import { CONDITION_SYNTAX, CONDITION_TOO_DEEP, MIXED, QUANTITY_SYNTAX, TWO_READINGS } from "./condition/complaint.js";
import { CONTROL_CHARACTER, EMPTY, NOT_UTF8, TOO_LARGE } from "./read.js";
import { UNKNOWN_FORMAT, UNKNOWN_KIND } from "./shape/check.js";
import { BAD_NAME, MISSING_KEY, UNKNOWN_KEY, WRONG_VALUE } from "./shape/schema.js";
import { EMPTY_VALUE } from "./yaml/content.js";
import { NESTED_TOO_DEEP } from "./yaml/profile.js";
import { YAML_SYNTAX } from "./yaml/syntax-error.js";

/** Every finding of reading a file, from bytes to conditions. */
export const SYNTAX_KINDS: readonly FindingKind[] = [
  TOO_LARGE,
  NOT_UTF8,
  EMPTY,
  CONTROL_CHARACTER,
  YAML_SYNTAX,
  NESTED_TOO_DEEP,
  EMPTY_VALUE,
  UNKNOWN_KIND,
  UNKNOWN_FORMAT,
  UNKNOWN_KEY,
  MISSING_KEY,
  WRONG_VALUE,
  BAD_NAME,
  CONDITION_SYNTAX,
  MIXED,
  TWO_READINGS,
  CONDITION_TOO_DEEP,
  QUANTITY_SYNTAX,
];
