import type { Finding } from "../diagnostics/finding.js";
import type { Procedure } from "../program/procedure.js";
import type { Program } from "../program/program.js";
import type { Document } from "../syntax/tree.js";
import { type Places, placesIn } from "./places.js";
import { proseOf } from "./prose.js";
import { LINT_RULES } from "./registry.js";
import type { CardContext } from "./rule.js";
import { everyStep } from "./walk.js";

/**
 * What there is to say about wording, shape and records, each finding with the default severity of its kind. The trees
 * give the exact places of words; without them a finding points at its step. Never throws on a program with holes.
 */
export function lintProgram(program: Program, documents: readonly Document[]): readonly Finding[] {
  const places = placesIn(documents);
  const systems = [...program.systems.values()];
  const procedures = [...program.procedures.values()];
  return once([
    ...LINT_RULES.flatMap((rule) => rule.program?.(program, places) ?? []),
    ...systems.flatMap((system) => LINT_RULES.flatMap((rule) => rule.system?.(system, places) ?? [])),
    ...procedures.flatMap((procedure) => lintCard(procedure, program, places)),
  ]);
}

function lintCard(procedure: Procedure, program: Program, places: Places): readonly Finding[] {
  const system = program.systems.get(procedure.system);
  const context: CardContext = { program, procedure, places, ...(system && { system }) };
  const steps = everyStep(procedure.steps);
  const prose = proseOf(procedure, places);
  return LINT_RULES.flatMap((rule) => [
    ...(rule.procedure?.(procedure, context) ?? []),
    ...(rule.step ? steps.flatMap((step) => rule.step?.(step, context) ?? []) : []),
    ...(rule.prose ? prose.flatMap((text) => rule.prose?.(text, context) ?? []) : []),
  ]);
}

/** A sided thing is declared once and stands in the program once for each side: one complaint at one place is enough. */
function once(findings: readonly Finding[]): readonly Finding[] {
  const seen = new Map(findings.map((finding) => [placeKey(finding), finding] as const).reverse());
  return findings.filter((finding) => seen.get(placeKey(finding)) === finding);
}

function placeKey({ code, at }: Finding): string {
  return `${code} ${at.file.path} ${at.start} ${at.end}`;
}
