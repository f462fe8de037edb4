import { type FindingKind, finding } from "../../diagnostics/finding.js";
import type { Procedure } from "../../program/procedure.js";
import { type Paragraph, paragraphOf, tracedSteps } from "../baseline.js";
import { cardWith } from "../example.js";
import { type LintRule, subjectOf } from "../rule.js";
import { everyStep } from "../walk.js";

const kind: FindingKind = {
  code: "record/dropped-paragraph",
  severity: "warning",
  summary: "The numbers of the baseline have a gap: a paragraph is neither on the card nor in `omits`.",
  why:
    "A line that was left out by design looks like one that was forgotten. Only gaps between numbers that the card names " +
    "are seen, and only on a card that names at least three of a section. Common practice, no published source.",
  bad: cardWith(lines(), { head: "baseline: { document: Bilge manual, section: 4.2 }" }),
  good: cardWith(lines(), {
    head: `
    baseline: { document: Bilge manual, section: 4.2 }
    omits:
      - { ref: 4.2/2, because: The Tern has no bilge alarm to silence. }`,
  }),
};

/** A card with fewer references to a section is not taken to follow it paragraph by paragraph. */
const TRACED_AT_LEAST = 3;

/** One finding for each section of the baseline that has gaps. */
export const droppedParagraph: LintRule = {
  kind,
  procedure(procedure, context) {
    if (!procedure.baseline) return [];
    return gapsOf(procedure).map(({ missing, after }) => {
      const names = missing.map((name) => `\`${name}\``).join(", ");
      const message = `${names} of the baseline ${missing.length > 1 ? "are" : "is"} neither on the card nor in \`omits\``;
      const help = ["list what was left out under `omits`, each with its reason"];
      const step = everyStep(procedure.steps).find((candidate) => candidate.ref === after.ref);
      const at = (step && context.places.under(step.span, "ref")?.span) ?? step?.verb ?? procedure.span;
      return finding(kind, at, message, { help, subject: subjectOf(context, step) });
    });
  },
};

interface Gap {
  readonly missing: readonly string[];
  /** The first paragraph on the card from which a missing one would be seen. */
  readonly after: Paragraph;
}

function gapsOf(procedure: Procedure): readonly Gap[] {
  const traced = tracedSteps(everyStep(procedure.steps)).map(({ paragraph }) => paragraph);
  const omitted = procedure.omits.flatMap(({ ref }) => paragraphOf(ref) ?? []);
  const sections = [...new Set(traced.map(({ within }) => within))];
  return sections.flatMap((within) => {
    const here = traced.filter((paragraph) => paragraph.within === within);
    if (new Set(here.map(({ number }) => number)).size < TRACED_AT_LEAST) return [];
    return gapIn(here, [...here, ...omitted.filter((paragraph) => paragraph.within === within)]);
  });
}

/** Ten thousand paragraphs is no section: such numbers are something else, a date or a part number. */
const MOST_PARAGRAPHS = 10_000;

function gapIn(traced: readonly Paragraph[], known: readonly Paragraph[]): readonly Gap[] {
  const low = Math.min(...traced.map(({ number }) => number));
  const high = Math.max(...traced.map(({ last }) => last));
  if (high - low > MOST_PARAGRAPHS) return [];
  const numbers = Array.from({ length: high - low + 1 }, (_, index) => low + index);
  const missing = numbers.filter(
    (number) => !known.some((paragraph) => paragraph.number <= number && number <= paragraph.last),
  );
  const after = traced.find(({ number }) => number > (missing[0] ?? high));
  return after ? [{ missing: missing.map((number) => `${after.within}${number}`), after }] : [];
}

function lines(): string {
  return `
    - set: { suction: open }
      ref: 4.2/1
    - set: { pump: on }
      ref: 4.2/3
    - do: Close the hatch
      ref: 4.2/4`;
}
