import type { Finding } from "../../src/diagnostics/finding.js";
import type { Report } from "../../src/report/report.js";
import type { SourceFile, Span } from "../../src/source/file.js";

/** The span of the first `what` in a file. */
export function spanOf(file: SourceFile, what: string): Span {
  const start = file.text.indexOf(what);
  if (start < 0) throw new Error(`${file.path} has no ${what}`);
  return { file, start, end: start + what.length };
}

export function report(findings: readonly Finding[], more: Partial<Report> = {}): Report {
  return { project: "RV Anser", base: "", findings, proofs: [], leftOut: [], allowed: [], ...more };
}

const STEPS: SourceFile = {
  path: "procedures/emergency-start.yaml",
  text: `${"\n".repeat(50)}    - hold: { start-key: crank }\n`,
};
const RULES: SourceFile = {
  path: "rules/standing.yaml",
  text: `${"\n".repeat(8)}  - { id: warm-up-before-load, require: (generator is ready) for 60 s, when: board }\n`,
};

/** A finding as the prover makes them: two places, a story, a way out. */
export const LOAD_TOO_EARLY: Finding = {
  code: "order/when",
  severity: "error",
  message: "the board can take load before `warm-up-before-load` allows it",
  at: spanOf(STEPS, "hold: { start-key: crank }"),
  remark: "starts the generator; it may be ready at any moment from here on",
  labels: [{ at: spanOf(RULES, "warm-up-before-load"), text: "needs (generator is ready) for 60 s when board" }],
  help: ["`verify` the breaker open before step 7, or take it for granted in `begins`"],
  story: [
    { when: "start", what: "GEN BREAKER closed (left so by the last watch); the rest may be anything" },
    { when: "step 1", what: "CONTROL POWER guard closed", effect: "24 V on" },
    {
      when: "step 7",
      what: "ENGINE held at CRANK",
      effect: "generator turning, then running",
      at: spanOf(STEPS, "start-key"),
    },
    { when: "then", what: "the generator is ready", effect: "board live at once, after 0 s of 60 s", broken: true },
  ],
  subject: { procedure: "emergency-start", step: "crank", rule: "warm-up-before-load" },
};
