import { HARD_CODES, KIND_OF } from "./catalogue.js";
import type { Finding } from "./diagnostics/finding.js";
import { compareText, settle } from "./diagnostics/sink.js";
import { EMIT_KINDS } from "./emit/kinds.js";
import { judge } from "./judge/judge.js";
import { brokenFiles, whyNotProved } from "./judge/reach.js";
import { lintProgram } from "./lint/run.js";
import type { Procedure } from "./program/procedure.js";
import type { Program } from "./program/program.js";
import type { Proof } from "./program/verdict.js";
import { proveProgram } from "./prove/prove.js";
import type { LeftOut, Report } from "./report/report.js";
import { SYSTEM_WHICH } from "./resolve/files.js";
import { resolveProgram } from "./resolve/resolve.js";
import type { SourceFile } from "./source/file.js";
import { parseDocument } from "./syntax/parse.js";
import type { Document } from "./syntax/tree.js";

export interface CheckOptions {
  /** What reading the files already had to say. */
  readonly findings?: readonly Finding[];
  /** Paths asked for: only their procedures are proved, and only findings in them told. Absent: all. */
  readonly focus?: ReadonlySet<string>;
  /** Stands before every path where it is shown. */
  readonly base?: string;
  /** Sets the cards of these procedures in type and says what is wrong with the pages. Absent: cards are not looked at. */
  readonly cards?: (program: Program, procedures: readonly Procedure[]) => readonly Finding[];
  /** True once the time is up: what is not proved by then is `unproved`. */
  readonly deadline?: () => boolean;
}

export interface Parsed {
  readonly documents: readonly Document[];
  readonly findings: readonly Finding[];
  /** Some file says nothing that can be read, not even what it is: it may be what others miss. */
  readonly isOneMute: boolean;
}

export interface Resolved extends Parsed {
  readonly program: Program;
  /** Paths of files in which something could not be understood: later stages leave them out. */
  readonly broken: ReadonlySet<string>;
}

export interface Proved extends Resolved {
  readonly proofs: readonly Proof[];
  readonly leftOut: readonly LeftOut[];
}

export interface Checked extends Proved {
  readonly report: Report;
}

/** The whole run over the files of one project. Never throws on any text; a fault of our own is an `InvariantError`. */
export function check(files: readonly SourceFile[], options: CheckOptions = {}): Checked {
  const parsed = parse(files, options);
  const resolved = resolve(parsed);
  const linted = lint(resolved);
  const proved = prove(linted, options);
  const printed = print(proved, options);
  return reported(printed, options);
}

/** The program of another state of a project, such as an earlier revision; what is wrong with it is not told. */
export function readProgram(files: readonly SourceFile[]): Program {
  return resolve(parse(files, {})).program;
}

/** In the order of their paths, so that the order in which files are given changes nothing. */
function parse(files: readonly SourceFile[], { findings = [] }: CheckOptions): Parsed {
  const outcomes = [...files].sort((a, b) => compareText(a.path, b.path)).map(parseDocument);
  const documents = outcomes.flatMap(({ value }) => (value ? [value] : []));
  const isOneMute = documents.length < files.length;
  return { documents, isOneMute, findings: [...findings, ...outcomes.flatMap((outcome) => outcome.findings)] };
}

/** That there is no system at all is not told where the file that cannot be read may be the one: one cause, one finding. */
function resolve({ documents, findings: before, isOneMute }: Parsed): Resolved {
  const { value: program, findings } = resolveProgram(documents);
  const isHole = ({ code }: Finding) => isOneMute && program.systems.size === 0 && code === SYSTEM_WHICH.code;
  const all = [...before, ...findings.filter((one) => !isHole(one))];
  return { documents, isOneMute, program, findings: all, broken: brokenFiles(all, HARD_CODES) };
}

/** With a broken file about, only what is said inside a sound procedure stands: "never used" may be the hole's doing. */
function lint(resolved: Resolved): Resolved {
  const { program, documents, broken } = resolved;
  const sound = new Set(
    [...program.procedures.values()].map(({ span }) => span.file.path).filter((path) => !broken.has(path)),
  );
  const findings = lintProgram(program, documents).filter(({ at }) => broken.size === 0 || sound.has(at.file.path));
  return { ...resolved, findings: [...resolved.findings, ...findings] };
}

/** Without names the prover also says which rules protect nothing in any procedure: only where it has seen them all, and no file has a hole. */
function prove(linted: Resolved, { focus, deadline }: CheckOptions): Proved {
  const { program, broken } = linted;
  const asked = [...program.procedures.values()].filter(({ span }) => isAsked(span.file.path, linted, focus));
  const leftOut = asked.flatMap((procedure): LeftOut[] => {
    const because = whyNotProved(procedure, program, broken);
    return because ? [{ procedure: procedure.id, because }] : [];
  });
  const without = new Set(leftOut.map(({ procedure }) => procedure));
  const procedures = asked.map(({ id }) => id).filter((id) => !without.has(id));
  const whole = broken.size === 0 && procedures.length === program.procedures.size;
  const { findings, proofs } = proveProgram(program, { ...(deadline && { deadline }), ...(!whole && { procedures }) });
  return { ...linted, findings: [...linted.findings, ...findings], proofs, leftOut };
}

/** A system or a file of rules in the focus asks for every procedure. */
function isAsked(path: string, { documents }: Parsed, focus: ReadonlySet<string> | undefined): boolean {
  if (!focus || focus.has(path)) return true;
  return documents.some(({ kind, idSpan }) => kind !== "procedure" && focus.has(idSpan.file.path));
}

function print(proved: Proved, { cards }: CheckOptions): Proved {
  if (!cards) return proved;
  const procedures = proved.proofs.flatMap(({ procedure }) => proved.program.procedures.get(procedure) ?? []);
  return { ...proved, findings: [...proved.findings, ...cards(proved.program, procedures)] };
}

function reported(proved: Proved, { cards, focus, base = "" }: CheckOptions): Checked {
  const { program, documents, proofs, leftOut } = proved;
  const answered = new Set(
    proofs.filter(({ rules }) => rules.every(({ verdict }) => verdict !== "unproved")).map((proof) => proof.procedure),
  );
  const unasked = new Set(cards ? [] : EMIT_KINDS.map(({ code }) => code));
  const judged = judge(proved.findings, { program, documents, kinds: KIND_OF, hard: HARD_CODES, answered, unasked });
  const findings = settle(judged.findings).filter(({ at }) => !focus || focus.has(at.file.path));
  return {
    ...proved,
    report: { project: program.project.title, base, findings, proofs, leftOut, allowed: judged.allowed },
  };
}
