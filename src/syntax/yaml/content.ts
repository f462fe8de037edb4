import type { Finding, FindingKind } from "../../diagnostics/finding.js";
import { finding } from "../../diagnostics/finding.js";
import { withSteps } from "../examples.js";
import type { Converted } from "./convert.js";

export const EMPTY_VALUE: FindingKind = {
  code: "yaml/empty-value",
  severity: "error",
  summary: "A key, or a dash of a list, has nothing after it.",
  why: "Nothing is not a value of this language: it cannot be told from a value that was lost.",
  bad: withSteps("  - set: { pump: on }\n    note:\n"),
  good: withSteps("  - set: { pump: on }\n    note: It hums.\n"),
};

/** What the tree itself shows against the profile: values that are not there, keys that stand twice. */
export function checkConverted(converted: Converted): Finding[] {
  return converted.oddities.map((odd) =>
    finding(EMPTY_VALUE, odd.at, odd.key ? `\`${odd.key.text}\` has no value` : "nothing stands here", {
      help: ["write its value, or leave the key out"],
    }),
  );
}
