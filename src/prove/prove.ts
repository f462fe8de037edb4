import { type Finding, finding } from "../diagnostics/finding.js";
import { buildModel } from "../machine/model.js";
import type { Procedure } from "../program/procedure.js";
import type { Program } from "../program/program.js";
import type { System, Tail } from "../program/system.js";
import type { Proof, Verdict } from "../program/verdict.js";
import { contextOf, type Limits } from "./context.js";
import { idleRules } from "./idle.js";
import { NO_START } from "./kinds.js";
import { mergeTails, type TailResult } from "./merge.js";
import { withoutRepeats } from "./own.js";
import { proveRule } from "./rules.js";
import { searchWhole } from "./whole/search.js";

export interface ProveOptions {
  /** True once the time is over; asked now and then. */
  readonly deadline?: () => boolean;
  /** Nodes of a decision diagram that one question may use. */
  readonly nodes?: number;
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

/** Tails that agree on every fit variable that was asked for share one result. */
function proveTails(program: Program, procedure: Procedure, options: ProveOptions): readonly TailResult[] {
  const system = program.systems.get(procedure.system);
  if (!system) return [];
  const done: TailResult[] = [];
  for (const tail of system.tails) {
    const twin = done.find((result) => [...result.fits].every((fit) => result.tail.fit.get(fit) === tail.fit.get(fit)));
    done.push(twin ? { ...twin, tail } : proveTail(program, system, procedure, tail, options));
  }
  return done;
}

function proveTail(program: Program, system: System, procedure: Procedure, tail: Tail, limits: Limits): TailResult {
  const model = buildModel(program, system, procedure, tail);
  const context = contextOf(program, procedure, model, limits);
  const whole = searchWhole(context);
  const base = { tail, fits: model.world.fitsConsulted, startsLog10: whole.startsLog10, changing: whole.changing };
  if (!whole.hasStart)
    return {
      ...base,
      findings: [noStart(system, procedure)],
      rules: new Map(),
      ...(whole.reached ? { reached: whole.reached } : {}),
      hasStart: false,
    };
  const rules = new Map<string, Verdict>();
  const findings = [...whole.findings];
  for (const lowered of model.rules) {
    const result = proveRule(context, lowered);
    rules.set(lowered.rule.id, result.verdict);
    findings.push(...result.findings);
  }
  return { ...base, findings, rules, ...(whole.reached ? { reached: whole.reached } : {}), hasStart: true };
}

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
