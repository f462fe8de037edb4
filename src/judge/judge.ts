import { type Finding, type FindingKind, finding } from "../diagnostics/finding.js";
import { suggest } from "../diagnostics/suggest.js";
import type { Allow, Procedure } from "../program/procedure.js";
import type { Program } from "../program/program.js";
import { type Document, type Entry, entry } from "../syntax/tree.js";
import { CANNOT_SOFTEN, UNKNOWN_CODE, UNUSED_ALLOW } from "./kinds.js";

/** A finding that the author accepts, with the reason. */
export interface Accepted {
  readonly finding: Finding;
  readonly because: string;
}

export interface Judged {
  readonly findings: readonly Finding[];
  readonly allowed: readonly Accepted[];
}

export interface JudgeContext {
  readonly program: Program;
  readonly documents: readonly Document[];
  /** Every code that there is, and those whose error means that something could not be understood. */
  readonly kinds: ReadonlyMap<string, FindingKind>;
  readonly hard: ReadonlySet<string>;
  /** Procedures whose every question was answered: only there can an `allow` be said to match nothing. */
  readonly answered: ReadonlySet<string>;
  /** Codes that nobody looked for in this run: an `allow` of them may be of use in another. */
  readonly unasked: ReadonlySet<string>;
}

/**
 * What the project makes of the findings: those that an `allow` accepts are set apart, the rest get the level that the
 * project gives their code. An error that leaves nothing to prove can be neither allowed nor softened.
 */
export function judge(findings: readonly Finding[], context: JudgeContext): Judged {
  const allows = [...context.program.procedures.values()].flatMap((procedure) =>
    procedure.allows.map((allow) => ({ allow, procedure })),
  );
  const used = new Set<string>();
  const allowed: Accepted[] = [];
  const left: Finding[] = [];
  for (const one of findings) {
    const matching = context.hard.has(one.code) ? [] : allows.filter((candidate) => accepts(candidate, one));
    for (const { allow } of matching) used.add(placeOfAllow(allow));
    if (matching[0]) allowed.push({ finding: one, because: matching[0].allow.because });
    else left.push(one);
  }
  const unused = allows.filter(
    ({ allow, procedure }) =>
      !used.has(placeOfAllow(allow)) && context.answered.has(procedure.id) && !context.unasked.has(allow.code),
  );
  const ours = [...unused.map((one) => unusedAllow(one, context)), ...settingsOf(context.documents, context)];
  return { findings: [...left, ...ours].flatMap((one) => levelled(one, context)), allowed };
}

/** A procedure that is there once for each side shares its text: an `allow` that serves one of them is of use. */
function placeOfAllow({ span }: Allow): string {
  return `${span.file.path}:${span.start}`;
}

interface Candidate {
  readonly allow: Allow;
  readonly procedure: Procedure;
}

function accepts({ allow, procedure }: Candidate, { code, subject }: Finding): boolean {
  if (allow.code !== code || subject.procedure !== procedure.id) return false;
  if (allow.step !== undefined && allow.step !== subject.step) return false;
  return allow.rule === undefined || allow.rule === subject.rule;
}

/** The project's level for a code; where a rule gives its own findings another level than the usual one, that stands. */
function levelled(one: Finding, { program, kinds, hard }: JudgeContext): Finding[] {
  const level = program.project.severities.get(one.code);
  if (level === undefined || hard.has(one.code) || kinds.get(one.code)?.severity !== one.severity) return [one];
  return level === "off" ? [] : [{ ...one, severity: level }];
}

function unusedAllow({ allow, procedure }: Candidate, { kinds }: JudgeContext): Finding {
  const where = allow.step ? ` at step \`${allow.step}\`` : "";
  const near = kinds.has(allow.code) ? undefined : suggest(allow.code, [...kinds.keys()]);
  const message = kinds.has(allow.code)
    ? `\`${procedure.id}\` allows \`${allow.code}\`${where}, and there is no such finding`
    : `\`${procedure.id}\` allows \`${allow.code}\`, and no finding has that code`;
  const help = near ? `did you mean \`${near}\`?` : "take the `allow` out; if it was for another step, name that one";
  return finding(UNUSED_ALLOW, allow.span, message, {
    help: [help],
    subject: { procedure: procedure.id, thing: allow.code },
  });
}

function settingsOf(documents: readonly Document[], context: JudgeContext): Finding[] {
  const settings = documents
    .filter(({ kind }) => kind === "project")
    .flatMap(({ root }) => {
      const value = entry(root, "findings")?.value;
      return value?.kind === "map" ? value.entries : [];
    });
  return settings.flatMap((setting) => settingFindings(setting, context));
}

function settingFindings({ key, value }: Entry, { kinds, hard }: JudgeContext): Finding[] {
  const code = key.text;
  if (!kinds.has(code)) {
    const near = suggest(code, [...kinds.keys()]);
    const help = near ? `did you mean \`${near}\`?` : "`proofcard explain` lists the codes";
    return [
      finding(UNKNOWN_CODE, key.span, `no finding has the code \`${code}\``, {
        help: [help],
        subject: { thing: code },
      }),
    ];
  }
  if (!hard.has(code) || kinds.get(code)?.severity !== "error" || (value.kind === "scalar" && value.text === "error"))
    return [];
  const help = ["take this line out, and mend the error where it is reported"];
  return [
    finding(CANNOT_SOFTEN, key.span, `\`${code}\` is always an error: it leaves nothing to prove`, {
      help,
      subject: { thing: code },
    }),
  ];
}
