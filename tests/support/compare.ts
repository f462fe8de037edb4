import type { Finding } from "../../src/diagnostics/finding.js";
import { proveProgram } from "../../src/prove/prove.js";
import { interpret, type OracleFinding, type OracleReport } from "../oracle/interpreter.js";
import { everyStep } from "../oracle/text.js";
import type { Micro } from "./micro.js";

/** A finding in few words, alike for the prover and the interpreter: `code subject @step`. */
export interface Brief {
  readonly text: string;
  readonly code: string;
  /** The same at another step that can be come to with as few moments. */
  readonly asGood: readonly string[];
  readonly also: readonly string[];
  readonly tails: readonly string[];
  readonly severity: string;
}

/** The subject is told where a finding is about one thing; elsewhere its code and step say it all. */
const WITH_SUBJECT = /^(order|observe\/(missing|surplus)|lanes|prohibit\/broken|duty)/;

/**
 * What is already so at the start is nobody's step: the prover points at the first step that looks, the interpreter at none.
 * Of what is held too long the prover points at the hold, the interpreter at what is done meanwhile.
 */
const WITHOUT_STEP = ["order/already-so", "view/cannot-see", "duty/on"];

export function fromOracle(report: OracleReport, steps: readonly string[] = []): Brief[] {
  const everywhere = ["(begins)", ...steps];
  const found = report.findings.map(
    (finding): Brief => ({
      code: finding.code,
      text: spell(finding.code, finding.rule ?? finding.thing, named(finding.step)),
      asGood: (isNobodys(finding) ? everywhere : finding.ties).map((step) =>
        spell(finding.code, finding.rule ?? finding.thing, named(step)),
      ),
      also: finding.also,
      tails: finding.tails,
      severity: finding.severity,
    }),
  );
  return sorted(found);
}

export function fromProver(findings: readonly Finding[]): Brief[] {
  const found = findings.map(
    (finding): Brief => ({
      code: finding.code,
      text: spell(finding.code, finding.subject.rule ?? finding.subject.thing, finding.subject.step),
      asGood: [],
      also: [],
      tails: finding.tails ?? [],
      severity: finding.severity,
    }),
  );
  return sorted(found);
}

/** No effect, idle, and already so at the start: told, and no fault of the card. */
export function isHint(brief: Brief): boolean {
  return HINTS.includes(brief.code);
}

const HINTS = [
  "order/already-so",
  "order/idle",
  "flow/never-taken",
  "flow/never-reached",
  "flow/no-effect",
  "prohibit/already-so",
];

/** Where the prover and the interpreter disagree about one world: a line each, empty where they agree. */
export function differences(world: Micro, limit: number): string[] {
  const expected = interpret(world.program, world.procedure, { limit });
  const proved = proveProgram(world.program);
  const findings = proved.findings.filter(({ subject }) => subject.procedure === world.procedure.id);
  const rules = proved.proofs.find((proof) => proof.procedure === world.procedure.id)?.rules ?? [];
  const lines: string[] = [];
  for (const { rule, verdict } of rules) {
    const other = expected.verdicts.get(rule);
    if (other !== undefined && other !== verdict) lines.push(`${rule}: interpreter ${other}, prover ${verdict}`);
  }
  const steps = [...everyStep(world.procedure.steps)].map((step) => step.name);
  const oracle = fromOracle(expected, steps);
  const prover = fromProver(findings);
  for (const { text, asGood } of oracle)
    if (!prover.some((other) => other.text === text || asGood.includes(other.text)))
      lines.push(`only the interpreter: ${text}`);
  for (const { text } of prover)
    if (!oracle.some((other) => other.text === text || other.asGood.includes(text)))
      lines.push(`only the prover: ${text}`);
  return lines;
}

function spell(code: string, subject: string | undefined, step: string | undefined): string {
  const where = WITHOUT_STEP.includes(code) ? [] : [`@${step ?? "-"}`];
  return [code, ...(WITH_SUBJECT.test(code) && subject ? [subject] : []), ...where].join(" ");
}

/** What a gauge breaks by its own move is nobody's step; the prover may say in whose pause it can move. */
function isNobodys(finding: OracleFinding): boolean {
  return finding.severity === "info" && /^(order|prohibit)\//.test(finding.code);
}

function named(step: string): string | undefined {
  return step.startsWith("(") ? undefined : step;
}

function sorted(found: readonly Brief[]): Brief[] {
  return [...found].sort((a, b) => (a.text < b.text ? -1 : a.text > b.text ? 1 : 0));
}
