import type { Finding } from "../diagnostics/finding.js";
import type { Procedure, Step } from "../program/procedure.js";
import type { Program } from "../program/program.js";
import { withoutSteps } from "../program/rebuild.js";
import { walkSteps } from "../program/walk.js";
import { type Before, proveBefore } from "./before.js";
import { COVER_GAP, FLOW_HAND_OVER, FLOW_PROMISE, NEVER_REACHED, NEVER_TAKEN, NO_EFFECT, UNPROVED } from "./kinds.js";
import { isSameLine, ownSteps } from "./own.js";
import { type ProveOptions, proveProcedure } from "./prove.js";
import { silenceAmong } from "./silent.js";
import { textOf } from "./words.js";

/** What breaks when a step is left out: it relies on that step. */
export type ReliedOn =
  | { readonly kind: "rule"; readonly rule: string }
  /** By its place in `ends`. */
  | { readonly kind: "promise"; readonly index: number }
  /** Another step: what it needs, waits for, lists, checks or moves, or that it is come to at all; the finding's code says which. */
  | { readonly kind: "step"; readonly step: string }
  /** What the procedure that comes next takes for granted. */
  | { readonly kind: "next"; readonly procedure: string }
  /** A light set that the card claims to test in full, by its place in `covers`. */
  | { readonly kind: "cover"; readonly index: number }
  /** The procedure as a whole, such as that its equipment comes to rest. */
  | { readonly kind: "procedure" };

export interface Breach {
  readonly on: ReliedOn;
  /** What is found without the step. For a check that could not fail and now can: what was found with it. */
  readonly finding: Finding;
}

export interface StepWhy {
  readonly step: Step;
  readonly breaches: readonly Breach[];
  /** A limit came first: there may be more. */
  readonly unproved: boolean;
}

export interface WhyOptions extends ProveOptions {
  /** Names of the steps asked about; every step that does something where absent. */
  readonly steps?: readonly string[];
  /** Called before each step with how many are answered, and how many there are. */
  readonly progress?: (answered: number, of: number) => void;
}

/**
 * Why each step is there: it is left out, with what is inside it, and the procedure proved again on every tail; what is found then and
 * was not before relies on it. A line of a part is left out wherever the part is performed. What was wrong before the step was left out
 * cannot be said to rely on it.
 */
export function whyOfSteps(program: Program, procedure: Procedure, options: WhyOptions = {}): readonly StepWhy[] {
  const asked = options.steps
    ? [...walkSteps(procedure.steps)].filter(({ name }) => options.steps?.includes(name))
    : ownSteps(procedure.steps).filter(doesSomething);
  const lines = asked.filter((step, index) => asked.findIndex((other) => isSameLine(step, other)) === index);
  if (lines.length === 0) return [];
  const before = proveBefore(program, procedure, options);
  return lines.map((step, index) => {
    options.progress?.(index, lines.length);
    return whyOf(program, procedure, step, before, options);
  });
}

/** Headings hold steps and do nothing themselves. */
function doesSomething({ kind }: Step): boolean {
  return kind !== "section" && kind !== "memory";
}

/**
 * What is known of a rule of the procedure with some steps left out. What was broken with them on every tail is nothing new; what held with
 * them holds without them where they do nothing that counts for it. Either is so for all tails that are alike without the steps.
 */
function knownWithout(leftOut: readonly Step[], { byTail }: Before): NonNullable<ProveOptions["known"]> {
  return ({ model }, { rule }) => {
    const among = byTail.get(model.world.tail)?.held?.get(rule.id);
    if (!among) return { isAnswered: [...byTail.values()].every(({ rules }) => rules.get(rule.id) === "violated") };
    const silence = silenceAmong(among);
    return { isAnswered: leftOut.every((step) => silence.isThrough(step)), among };
  };
}

function whyOf(program: Program, procedure: Procedure, step: Step, before: Before, options: ProveOptions): StepWhy {
  const without = { ...procedure, steps: withoutSteps(procedure.steps, (other) => isSameLine(step, other)) };
  const leftOut = [...walkSteps(procedure.steps)].filter((other) => isSameLine(step, other));
  const known = knownWithout(leftOut, before);
  const { findings: after } = proveProcedure(program, without, { ...options, known });
  const left = new Set([...walkSteps(without.steps)].map(({ name }) => name));
  const worse = arisen(before.findings, after).filter(weighs);
  const canFail = before.findings.filter(
    (one) => one.code === NEVER_TAKEN.code && left.has(one.subject.step ?? "") && !isCovered(one, after),
  );
  const breaches = [...worse, ...canFail].map((one): Breach => ({ on: reliedOnBy(one, procedure), finding: one }));
  return { step, breaches: unique(breaches), unproved: after.some(({ code }) => code === UNPROVED.code) };
}

/** What is found after a change and was not before, on the same tails; what only a gauge's own move brings about, and what is unproved, left out. */
export function arisen(before: readonly Finding[], after: readonly Finding[]): readonly Finding[] {
  return after.filter((one) => counts(one) && !isCovered(one, before));
}

const IDLE = [NEVER_REACHED, NEVER_TAKEN, NO_EFFECT].map(({ code }) => code);

function counts({ code, severity }: Finding): boolean {
  return (severity !== "info" || IDLE.includes(code)) && code !== UNPROVED.code;
}

/** That a step moves nothing, or a check cannot fail, breaks nothing; that a step is never come to does. */
function weighs({ code }: Finding): boolean {
  return code !== NEVER_TAKEN.code && code !== NO_EFFECT.code;
}

/** Was the same found on the same tails? */
function isCovered(one: Finding, others: readonly Finding[]): boolean {
  const key = keyOf(one);
  return others.some(
    (other) =>
      keyOf(other) === key && (!other.tails || (one.tails ?? [""]).every((tail) => other.tails?.includes(tail))),
  );
}

/** A rule is broken wherever it is; the rest is told step by step. */
function keyOf({ code, severity, subject }: Finding): string {
  const { step, rule, thing } = subject;
  return JSON.stringify([code, severity, rule, thing, rule === undefined ? step : undefined]);
}

function reliedOnBy({ code, subject, at }: Finding, procedure: Procedure): ReliedOn {
  const { rule, step, thing } = subject;
  if (code === FLOW_PROMISE.code) {
    return { kind: "promise", index: procedure.ends.findIndex((end) => textOf(end) === thing) };
  }
  // A prohibition is told under the name of the step that says it.
  if (rule !== undefined) return code.startsWith("prohibit/") ? { kind: "step", step: rule } : { kind: "rule", rule };
  if (code === FLOW_HAND_OVER.code && step === undefined) return { kind: "next", procedure: thing ?? "" };
  if (code === COVER_GAP.code) return { kind: "cover", index: procedure.covers.findIndex(({ span }) => span === at) };
  return step === undefined ? { kind: "procedure" } : { kind: "step", step };
}

function unique(breaches: readonly Breach[]): readonly Breach[] {
  const keyed = breaches.map((one) => [JSON.stringify([one.on, one.finding.code]), one] as const);
  return [...new Map(keyed.toReversed()).values()].toReversed();
}
