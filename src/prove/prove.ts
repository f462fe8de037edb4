import { type Finding, finding } from "../diagnostics/finding.js";
import { buildModel, type LoweredRule } from "../machine/model.js";
import { Spelling } from "../machine/spelling.js";
import { NodeLimit } from "../machine/symbolic/bdd.js";
import type { Transitions } from "../machine/transitions.js";
import { TooManyTicks } from "../machine/world/times.js";
import type { Procedure } from "../program/procedure.js";
import { type Program, ruleIsFor } from "../program/program.js";
import type { System, Tail } from "../program/system.js";
import type { Proof, Verdict } from "../program/verdict.js";
import { type Context, contextOf } from "./context.js";
import { idleRules } from "./idle.js";
import { NO_START, UNPROVED } from "./kinds.js";
import { forgetLearned } from "./learned.js";
import { mergeTails, type TailResult } from "./merge.js";
import { withoutRepeats } from "./own.js";
import { proveRule, type RuleResult } from "./rules.js";
import { spelledOut } from "./spelled-out.js";
import { searchWhole } from "./whole/search.js";
import { log10Outside } from "./whole/starts.js";
import { unprovedWhole } from "./whole/tell.js";
import { durationOf } from "./words.js";

export interface ProveOptions {
  /** True once the time is over; asked now and then. */
  readonly deadline?: () => boolean;
  /** Nodes of a decision diagram that one question may use. */
  readonly nodes?: number;
  /** Variables from which on a search forgets what nothing reads any more; absent: as many as make it worth its time. */
  readonly forgetFrom?: number;
  /** Findings without their stories, in a fraction of the time; not told is what the starts alone decide, and what only a gauge's own move breaks. */
  readonly verdictsOnly?: boolean;
  /** What is known of a rule from a procedure much like this one; looked at where only verdicts are asked for. */
  readonly known?: (context: Context, rule: LoweredRule) => Known | undefined;
}

export interface Known {
  /** It is not asked: it holds, or nobody wants to know. */
  readonly isAnswered: boolean;
  /** The transitions among which it held there. */
  readonly among?: Transitions;
}

export interface Proved {
  readonly findings: readonly Finding[];
  readonly proofs: readonly Proof[];
}

/** Proves every procedure of the program, or those named. */
export function proveProgram(
  program: Program,
  options: ProveOptions & { readonly procedures?: readonly string[] } = {},
): Proved {
  const wanted = [...program.procedures.values()].filter(
    (one) => !options.procedures || options.procedures.includes(one.id),
  );
  const results = wanted.map((procedure) => proveTails(program, procedure, options));
  const idle = options.procedures ? [] : idleRules(program, results.flat());
  const merged = wanted.map((procedure, index) => ({ procedure, ...mergeTails(program, procedure, results[index]!) }));
  return { findings: [...withoutRepeats(merged), ...idle], proofs: merged.map((one) => one.proof) };
}

/** Proves one procedure on every tail: its rules, its promises, its observations, and that it can be gone through. */
export function proveProcedure(
  program: Program,
  procedure: Procedure,
  options: ProveOptions = {},
): { readonly findings: readonly Finding[]; readonly proof: Proof } {
  return mergeTails(program, procedure, proveTails(program, procedure, options));
}

interface Done {
  readonly context: Context;
  readonly result: TailResult;
}

/** The same, tail by tail, as `mergeTails` takes it. */
export function proveTails(program: Program, procedure: Procedure, options: ProveOptions): readonly TailResult[] {
  const system = program.systems.get(procedure.system);
  return system ? proveTailsOf(program, procedure, system, options) : [];
}

/** Tails on which the procedure comes to the same share one answer: only how many starts there are is counted anew. */
function proveTailsOf(
  program: Program,
  procedure: Procedure,
  system: System,
  options: ProveOptions,
): readonly TailResult[] {
  const spelling = new Spelling();
  const done = new Map<string, Done>();
  const proveOne = (tail: Tail): TailResult => {
    for (const twin of done.values()) if (isFittedLike(tail, twin)) return sharedBy(twin, tail, system, procedure);
    const model = buildModel(program, system, procedure, tail);
    const context = contextOf(program, procedure, model, options);
    const text = spelledOut(context, spelling);
    const twin = done.get(text);
    if (twin) return sharedBy(twin, tail, system, procedure);
    const result = proveTail(context, system, options);
    forgetLearned(context);
    done.set(text, { context, result });
    return result;
  };
  return system.tails.map((tail) => {
    try {
      return proveOne(tail);
    } catch (error) {
      if (error instanceof NodeLimit) return unprovedTail(program, procedure, tail, error);
      throw error;
    }
  });
}

/** Nothing is known of a procedure that is too large to be written down as places and acts. */
function unprovedTail(program: Program, procedure: Procedure, tail: Tail, limit: NodeLimit): TailResult {
  const rules = program.rules.filter((rule) => ruleIsFor(rule, procedure));
  return {
    tail,
    hasStart: true,
    startsLog10: 0,
    findings: [limit instanceof TooManyTicks ? tooManyTicks(procedure, limit) : unprovedWhole(procedure)],
    rules: new Map(rules.map((rule) => [rule.id, "unproved"])),
    changing: "unknown",
  };
}

function tooManyTicks(procedure: Procedure, { time, tick }: TooManyTicks): Finding {
  const message = `\`${procedure.id}\` is unproved: ${durationOf(time)} counted in steps of ${durationOf(tick)} is more than can be followed`;
  return finding(UNPROVED, procedure.span, message, {
    remark: "every time that is stated is counted in the largest step that divides them all",
    help: ["write times that have a longer step in common: 10 s and 3 min rather than 7 s and 3 min"],
    subject: { procedure: procedure.id },
  });
}

/** Is all that the answer asked about the fit the same on this tail? */
function isFittedLike(tail: Tail, { context }: Done): boolean {
  const { world } = context.model;
  return [...world.fitsConsulted].every((fit) => tail.fit.get(fit) === world.tail.fit.get(fit));
}

function sharedBy({ context, result }: Done, tail: Tail, system: System, procedure: Procedure): TailResult {
  const outside = (one: Tail) => log10Outside(system, one, procedure, context.whole);
  return { ...result, tail, startsLog10: result.startsLog10 + outside(tail) - outside(context.model.world.tail) };
}

function proveTail(context: Context, system: System, { known, verdictsOnly }: ProveOptions): TailResult {
  const { model, procedure } = context;
  const { tail } = model.world;
  const whole = searchWhole(context);
  const base = {
    tail,
    startsLog10: whole.startsLog10,
    changing: whole.changing,
    ...(whole.reached ? { reached: whole.reached } : {}),
  };
  if (!whole.hasStart) return { ...base, findings: [noStart(system, procedure)], rules: new Map(), hasStart: false };
  const rules = new Map<string, Verdict>();
  const findings = [...whole.findings];
  const held = new Map<string, Transitions>();
  for (const lowered of model.rules) {
    const before = known?.(context, lowered);
    const result: RuleResult = before?.isAnswered ? ANSWERED : proveRule(context, lowered, before?.among);
    rules.set(lowered.rule.id, result.verdict);
    findings.push(...result.findings);
    if (result.among) held.set(lowered.rule.id, result.among);
  }
  return { ...base, findings, rules, hasStart: true, ...(verdictsOnly ? { held } : {}) };
}

const ANSWERED: RuleResult = { verdict: "holds", findings: [] };

function noStart(system: System, procedure: Procedure): Finding {
  const at = procedure.begins[0]?.span ?? procedure.span;
  return finding(NO_START, at, `\`${procedure.id}\` can never start: no state satisfies what it takes for granted`, {
    remark: "together with the rest of `begins` and the logic of the equipment, this is never so",
    help: [
      `take less for granted in \`begins\`${system.fits.length > 0 ? ", or fit out the fleet so that it can be so" : ""}`,
    ],
    subject: { procedure: procedure.id },
  });
}
