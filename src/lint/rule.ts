import type { Finding, FindingKind, Subject } from "../diagnostics/finding.js";
import type { Procedure, Step } from "../program/procedure.js";
import type { Program } from "../program/program.js";
import type { System } from "../program/system.js";
import type { Places } from "./places.js";
import type { Prose } from "./prose.js";

/**
 * A rule of wording, shape or record keeping: what it is for, and what it looks at. A rule has the visitors that it
 * needs; the runner walks. Steps and prose come once as written, however often a part is performed. A rule gives its
 * findings the default severity of its kind: what the project turns off or allows is decided above.
 */
export interface LintRule {
  readonly kind: FindingKind;
  readonly program?: (program: Program, places: Places) => readonly Finding[];
  readonly system?: (system: System, places: Places) => readonly Finding[];
  readonly procedure?: (procedure: Procedure, context: CardContext) => readonly Finding[];
  readonly step?: (step: Step, context: CardContext) => readonly Finding[];
  readonly prose?: (prose: Prose, context: CardContext) => readonly Finding[];
}

/** The card that a visitor is on, with the equipment that it is for. */
export interface CardContext {
  readonly program: Program;
  /** Absent where the card names a system that does not exist: that is reported elsewhere. */
  readonly system?: System;
  readonly procedure: Procedure;
  readonly places: Places;
}

/** What a finding on a card is about. */
export function subjectOf(context: CardContext, step?: Step): Subject {
  return step ? { procedure: context.procedure.id, step: step.name } : { procedure: context.procedure.id };
}
