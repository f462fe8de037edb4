import { type Finding, type FindingKind, finding } from "../../diagnostics/finding.js";
import type { Span } from "../../source/file.js";
import { example } from "../example.js";

export const PERFORM_CYCLE: FindingKind = {
  code: "perform/cycle",
  severity: "error",
  summary: "A part or procedure performs itself, straight away or by way of others.",
  why: "A card that sends its reader back into itself has no end.",
  bad: example({
    procedure: "parts:\n  dry-out:\n    - set: { valve: open }\n    - perform: dry-out",
    steps: "- perform: dry-out",
  }),
  good: example({ procedure: "parts:\n  dry-out:\n    - set: { valve: open }", steps: "- perform: dry-out" }),
};

/** More steps than this in one procedure, all performed ones in place, are no card. */
export const MOST_STEPS = 10_000;

/** Parts and procedures inside each other. */
export const DEEPEST_PERFORM = 40;

const DOUBLING = Array.from(
  { length: 14 },
  (_, n) => `  part-${n}:\n    - perform: part-${n + 1}\n    - perform: part-${n + 1}\n`,
).join("");

export const PERFORM_TOO_LARGE: FindingKind = {
  code: "perform/too-large",
  severity: "error",
  summary: "With all that it performs in place, a procedure has too many steps.",
  why: "Every performed step is proved where it stands. A count like this comes from parts that double each other, and nobody could read the card.",
  bad: example({ procedure: `parts:\n${DOUBLING}  part-14:\n    - do: Look`, steps: "- perform: part-0" }),
  good: example({ procedure: "parts:\n  part-0:\n    - do: Look", steps: "- perform: part-0" }),
};

/** `ring` is the way round, with its first at the end again. */
export function performCycle(ring: readonly string[], at: Span): Finding {
  const [first = ""] = ring;
  const path = ring.map((id) => `\`${id}\``).join(" -> ");
  const message = ring.length === 2 ? `\`${first}\` performs itself` : `a ring of performs: ${path}`;
  return finding(PERFORM_CYCLE, at, message, {
    help: ["use `repeat` for what is done again, and `go-to` for what goes on elsewhere"],
    subject: { thing: first },
  });
}

export function tooLarge(procedure: string, at: Span, why: string): Finding {
  return finding(PERFORM_TOO_LARGE, at, `\`${procedure}\` ${why}`, {
    help: ["perform the part once, or let a `repeat` do it again"],
  });
}
