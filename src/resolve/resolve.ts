import type { Finding, Outcome } from "../diagnostics/finding.js";
import { settle } from "../diagnostics/sink.js";
import type { Procedure } from "../program/procedure.js";
import type { Program } from "../program/program.js";
import type { Rule } from "../program/rule.js";
import type { Document, ScalarNode } from "../syntax/tree.js";
import { ofKind, projectFile, worldOf } from "./files.js";
import { allowsOf } from "./procedure/allows.js";
import { checkIds } from "./procedure/ids.js";
import { type Resolved, resolveProcedure } from "./procedure/procedure.js";
import { type ProcedureText, type Project, procedureId, procedureText } from "./procedure/text.js";
import { resolveProject } from "./project.js";
import { resolveRules } from "./rules/rules.js";
import { resolveSystem, type World } from "./system/system.js";

/**
 * The trees of all files as one program: names looked up, sides and groups spelled out, quantities exact, performed steps in place.
 * What has a fault is reported and left out, and the rest goes on. Never throws, whatever the trees.
 */
export function resolveProgram(documents: readonly Document[]): Outcome<Program> {
  const findings: Finding[] = [];
  const report = (finding: Finding) => void findings.push(about(finding, documents));
  const project = resolveProject(projectFile(documents, report), report);
  const worlds = new Map<string, World>();
  for (const [id, file] of ofKind(documents, "system", report)) worlds.set(id, resolveSystem(file, report));
  const texts = new Map<string, ProcedureText>();
  for (const [id, file] of ofKind(documents, "procedure", report)) {
    const world = worldOf(file, worlds, report);
    if (world) texts.set(id, procedureText(file, world));
  }
  const { categories, stepTakes } = project;
  const unsided: Project = { texts, categories, stepTakes, report };
  const within: Project = { ...unsided, texts: withSides(unsided) };
  const procedures = resolveProcedures(within);
  const rules = resolveAllRules(documents, worlds, { ...within, procedures });
  const systems = new Map([...worlds].map(([id, { system }]) => [id, system]));
  const resolved = new Map([...procedures].map(([id, each]) => [id, withAllows(each, rules, within)]));
  return { value: { project, systems, rules: rules.rules, procedures: resolved }, findings: settle(findings) };
}

/** A procedure that says `.side` in its own steps, where there is no side, is there once for each. */
function withSides(project: Project): ReadonlyMap<string, ProcedureText> {
  const quiet: Project = { ...project, report: () => {} };
  return new Map([...project.texts].map(([id, text]) => [id, { ...text, sides: sidesSaid(text, quiet) }]));
}

function sidesSaid(text: ProcedureText, project: Project): readonly string[] {
  if (!text.idSpan.file.text.includes(".side")) return [];
  let said: readonly string[] = [];
  resolveProcedure(text, undefined, project, (sides) => {
    if (said.length === 0) said = sides;
    return true;
  });
  return said;
}

function resolveProcedures(project: Project): ReadonlyMap<string, Resolved> {
  const procedures = new Map<string, Resolved>();
  for (const text of project.texts.values()) {
    checkIds(text, project);
    for (const side of text.sides.length > 0 ? text.sides : [undefined]) {
      procedures.set(procedureId(text, side), resolveProcedure(text, side, project));
    }
  }
  return procedures;
}

/** A finding is about the procedure in whose file it stands, also where another performs it, so that it is told once. */
function about(finding: Finding, documents: readonly Document[]): Finding {
  const file = documents.find(({ kind, root }) => kind === "procedure" && root.span.file === finding.at.file);
  return file ? { ...finding, subject: { ...finding.subject, procedure: file.id } } : finding;
}

function withAllows({ procedure, text, index }: Resolved, rules: ResolvedRules, project: Project): Procedure {
  const own = rules.rules.filter(({ system }) => system === procedure.system);
  const written = [...(rules.written.get(text.world)?.keys() ?? [])];
  return { ...procedure, allows: allowsOf(text, index, { rules: own, written }, project) };
}

interface ResolvedRules {
  readonly rules: readonly Rule[];
  /** The ids of a system's rules as written, also of those that have a fault. */
  readonly written: ReadonlyMap<World, ReadonlyMap<string, ScalarNode>>;
}

function resolveAllRules(
  documents: readonly Document[],
  worlds: ReadonlyMap<string, World>,
  project: Project & { readonly procedures: ReadonlyMap<string, Resolved> },
): ResolvedRules {
  const written = new Map<World, Map<string, ScalarNode>>();
  const rules = documents.flatMap((file) => {
    const world = file.kind === "rules" ? worldOf(file, worlds, project.report) : undefined;
    if (!world) return [];
    const ids = written.get(world) ?? new Map<string, ScalarNode>();
    written.set(world, ids);
    return resolveRules(file, world, project, ids);
  });
  return { rules, written };
}
