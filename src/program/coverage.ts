import type { Span } from "../source/file.js";

/** What the observations, checks and lines of one procedure catch. Steps are named by `Step.name`. */
export interface ProcedureCoverage {
  readonly procedure: string;
  /** Tails that were looked at: those on which it can start. */
  readonly tails: readonly string[];
  readonly lights: readonly LightLook[];
  readonly faults: FaultCoverage;
  readonly slips?: SlipCoverage;
  readonly leftOver?: readonly LeftOver[];
  readonly failures?: readonly FailureRow[];
}

/** A light as one step looks at it. */
export interface LightLook {
  readonly light: string;
  readonly step: string;
  /** `every`: whenever the step looks at it; `some`: in some cases. */
  readonly lit: Seen;
  readonly out: Seen;
  /** The condition with which it is listed there, as written. */
  readonly when?: string;
}

export type Seen = "every" | "some" | "never" | "unproved";

export interface FaultCoverage {
  readonly rows: readonly FaultRow[];
  /** Lights without logic, which cannot be judged. */
  readonly withoutLogic: readonly string[];
}

/** One single stuck-at fault. */
export interface Fault {
  /** Unique in its system: `light tank-empty dark`. */
  readonly id: string;
  readonly kind: "light" | "condition" | "use" | "control";
  /** The light, condition or control. */
  readonly thing: string;
  /** Where the use is: the light, condition or equipment that reads it; with the number of the use there. */
  readonly within?: string;
  /** `lit`, `dark`; `true`, `false`; or a position. */
  readonly stuck: string;
}

/** `apart`: it changes no light and no equipment in any state. `no start`: with it the procedure cannot begin. */
export type Reveal = "always" | "sometimes" | "never" | "apart" | "no start" | "unproved";

export interface FaultRow {
  readonly fault: Fault;
  readonly revealed: Reveal;
  /** First in the text of the steps that can reveal it. */
  readonly first?: string;
}

export interface SlipCoverage {
  readonly rows: readonly SlipRow[];
  /** Chance of a silent omission in one use, from figures for one line; a sum of small chances. */
  readonly estimate: Estimate;
}

export interface Estimate {
  /** For one line, and where it is from. */
  readonly perLine: number;
  readonly from: "project" | "default";
  readonly lines: number;
  readonly silent: number;
  readonly chance: number;
}

export type SlipKind = "left out" | "early" | "beside" | "one side";

export interface Slip {
  readonly kind: SlipKind;
  readonly step: string;
  readonly number: string;
  /** What is done instead: the position, the side that is forgotten, the step that it is done ahead of. */
  readonly detail?: string;
  readonly control?: string;
}

export interface SlipRow {
  readonly slip: Slip;
  readonly verdict: "caught" | "harmless" | "silent" | "unproved";
  /** The step that catches it, first in the text. */
  readonly caughtAt?: string;
  readonly breaks?: Broken;
}

/** What a slip or a failure breaks, and how. */
export interface Broken {
  readonly kind: "rule" | "promise" | "need" | "prohibition" | "duty";
  /** The rule's id, the promise or need as written, the step of a prohibition, the control of a duty. */
  readonly what: string;
  readonly story: readonly Telling[];
}

/** A line of a story, as findings tell it. */
export interface Telling {
  readonly when: string;
  readonly what: string;
  readonly effect?: string;
  readonly at?: Span;
  readonly broken?: boolean;
}

/** A control that on some path is neither set nor looked at. */
export interface LeftOver {
  readonly control: string;
  /** Findings whose start condition names it. */
  readonly harms: readonly { readonly code: string; readonly about: string; readonly severity: string }[];
  /** Rules, promises and lists of lights that name it, directly or through lights and named conditions. */
  readonly readBy: readonly string[];
  /** The step ahead of which a check of it would come in time. */
  readonly checkBefore?: string;
}

export interface FailureRow {
  readonly equipment: string;
  readonly from: string;
  readonly to: string;
  /** The step in whose pause it happens; absent: ahead of the first. */
  readonly step?: string;
  readonly verdict: "answered" | "harmless" | "unanswered" | "unproved";
  readonly answeredBy?: string;
  readonly breaks?: Broken;
}
