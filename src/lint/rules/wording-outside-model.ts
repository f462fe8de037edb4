import { type FindingKind, finding } from "../../diagnostics/finding.js";
import type { System } from "../../program/system.js";
import { cardWith } from "../example.js";
import { placeOf } from "../places.js";
import { type LintRule, subjectOf } from "../rule.js";

const kind: FindingKind = {
  code: "wording/outside-model",
  severity: "warning",
  summary: "The text of a `do` moves a control that the model knows, behind its back.",
  why:
    "The crew will move the handle, and every proof after this line takes it to stand where it stood. Follows from what " +
    "this tool does; no published source.",
  bad: cardWith("- do: Turn SUCTION to OPEN"),
  good: cardWith("- set: { suction: open }"),
};

/** A `do` that names, in capitals as engraved, the label of a control and then one of its positions. */
export const outsideModel: LintRule = {
  kind,
  prose(prose, context) {
    if (prose.under !== "do" || !context.system) return [];
    const found = handleNamed(prose.text, context.system);
    if (!found) return [];
    const message = `this text puts \`${found.label}\` at \`${found.placard}\`, and the model does not know it`;
    const help = [
      "write it as `set`, `verify` or `check`, so that it is printed and proved; `words` changes the wording",
    ];
    const subject = { ...subjectOf(context, prose.step), thing: found.id };
    return [finding(kind, placeOf(found.label, prose.at), message, { help, subject })];
  },
};

interface Handle {
  readonly id: string;
  readonly label: string;
  readonly placard: string;
}

function handleNamed(text: string, system: System): Handle | undefined {
  for (const { id, label, positions } of system.controls.values()) {
    const after = afterWord(text, label);
    const position =
      after === undefined ? undefined : positions.find(({ placard }) => afterWord(after, placard) !== undefined);
    if (position) return { id, label, placard: position.placard };
  }
  return undefined;
}

/** What follows a word in the text, the word standing whole and in the same case; only words that are in capitals. */
function afterWord(text: string, word: string): string | undefined {
  if (word !== word.toUpperCase() || !/\p{Lu}/u.test(word)) return undefined;
  const at = ` ${text} `
    .split(word)
    .findIndex((_, index, parts) => index < parts.length - 1 && standsWhole(parts, index));
  return at < 0
    ? undefined
    : ` ${text} `
        .split(word)
        .slice(at + 1)
        .join(word);
}

function standsWhole(parts: readonly string[], index: number): boolean {
  return !/[\p{L}\p{N}]$/u.test(parts[index] ?? "") && !/^[\p{L}\p{N}]/u.test(parts[index + 1] ?? "");
}
