import type { FindingKind } from "../diagnostics/finding.js";

const SYSTEM = "kind: system\ntitle: Plant (fictional)\ncontrols:\n  pump: { label: PUMP, positions: [off, on] }\n";
const procedure = (more: string): string =>
  `kind: procedure\ntitle: Start the pump\ncategory: normal\nsteps:\n  - set: { pump: on }\n${more}`;
const project = (findings: string): Record<string, string> => ({
  "project.yaml": `kind: project\nformat: 1\ntitle: Plant\nsources: ["**/*.yaml"]\n${findings}`,
  "plant.yaml": SYSTEM,
  "start.yaml": procedure(""),
});

const FILES = { "plant.yaml": SYSTEM, "start.yaml": procedure("") };
const sources = (patterns: string): Record<string, string> => ({
  "project.yaml": `kind: project\nformat: 1\ntitle: Plant\nsources: ${patterns}\n`,
  ...FILES,
});

export const SOURCE_OUTSIDE: FindingKind = {
  code: "project/source-outside",
  severity: "error",
  summary: "A pattern of `sources` leads out of the project's folder.",
  why: "A project is one folder, so that a review of that folder is a review of all that the proof rests on. Common practice, no published source.",
  bad: sources(`["*.yaml", "../shared/*.yaml"]`),
  good: sources(`["*.yaml"]`),
};

export const SOURCE_MATCHES_NOTHING: FindingKind = {
  code: "project/source-matches-nothing",
  severity: "warning",
  summary: "A pattern of `sources` matches no file.",
  why: "Cards that the pattern was meant for are not checked, and nobody is told. Common practice, no published source.",
  bad: sources(`["*.yaml", "procedures/*.yaml"]`),
  good: sources(`["*.yaml"]`),
};

export const UNUSED_ALLOW: FindingKind = {
  code: "allow/unused",
  severity: "warning",
  summary: "An `allow` accepts a finding that is not there.",
  why: "An acceptance that outlives its finding hides the next one of that code at that step. Common practice, no published source.",
  bad: {
    "plant.yaml": SYSTEM,
    "start.yaml": procedure("allow:\n  - { finding: order/when, because: The pump is dry. }\n"),
  },
  good: { "plant.yaml": SYSTEM, "start.yaml": procedure("") },
};

export const UNKNOWN_CODE: FindingKind = {
  code: "project/unknown-code",
  severity: "error",
  summary: "`findings` names a code that no finding has.",
  why: "A level that was meant for a finding does not reach it. Common practice, no published source.",
  bad: project("findings: { wording/lengthy-step: off }\n"),
  good: project(""),
};

export const CANNOT_SOFTEN: FindingKind = {
  code: "project/cannot-soften",
  severity: "error",
  summary: "`findings` softens an error that leaves nothing to prove.",
  why: "A file that cannot be understood is left out of the proof; were that error silent, an unproved card would pass. Common practice, no published source.",
  bad: project("findings: { project/unknown-code: off }\n"),
  good: project(""),
};

/** What can be said of the project file: where its sources are, and how it treats findings. */
export const JUDGE_KINDS: readonly FindingKind[] = [
  UNUSED_ALLOW,
  CANNOT_SOFTEN,
  SOURCE_MATCHES_NOTHING,
  SOURCE_OUTSIDE,
  UNKNOWN_CODE,
];
