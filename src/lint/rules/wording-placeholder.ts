import { type FindingKind, finding } from "../../diagnostics/finding.js";
import { cardWith } from "../example.js";
import { placeOf } from "../places.js";
import { type LintRule, subjectOf } from "../rule.js";

const kind: FindingKind = {
  code: "wording/placeholder",
  severity: "warning",
  summary: "A text still holds a mark for something to be filled in.",
  why: "It will be printed on the card as it stands. Common practice, no published source.",
  bad: cardWith("- do: Close the sea cock TBD"),
  good: cardWith("- do: Close the sea cock under the galley"),
};

const PLACEHOLDER = /\b(TBD|TBC|TODO|FIXME|XXX+)\b|\?\?+/u;

/** A mark that was left for later. */
export const placeholder: LintRule = {
  kind,
  prose(prose, context) {
    const mark = PLACEHOLDER.exec(prose.text)?.[0];
    if (!mark) return [];
    const help = ["fill it in, or take the mark out, before the card is published"];
    const subject = subjectOf(context, prose.step);
    return [finding(kind, placeOf(mark, prose.at), `\`${mark}\` would be printed on the card`, { help, subject })];
  },
};
