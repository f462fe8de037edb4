import type { Span } from "../source/file.js";
import type { Condition } from "./condition.js";
import type { Colour } from "./system.js";

export type ReadAs = "read-and-do" | "challenge-response" | "flow";

export interface Procedure {
  readonly id: string;
  readonly system: string;
  readonly title: string;
  readonly category: string;
  readonly useWhen?: string;
  /** What the crew sees that calls for it: prose, and the lights that its words name where the author listed lights. */
  readonly startsOn?: StartsOn;
  readonly readAs: readonly ReadAs[];
  /** Role id to its title, in written order. */
  readonly crew: ReadonlyMap<string, string>;
  readonly reader?: string;
  readonly revision?: Revision;
  readonly summary?: string;
  readonly baseline?: Baseline;
  readonly omits: readonly { readonly ref: string; readonly because: string; readonly span: Span }[];
  readonly begins: readonly Condition[];
  readonly ends: readonly Condition[];
  /** Ids of light sets. */
  readonly covers: readonly { readonly set: string; readonly span: Span }[];
  readonly next?: { readonly procedure: string; readonly span: Span };
  readonly steps: readonly Step[];
  readonly allows: readonly Allow[];
  /** The id. */
  readonly span: Span;
}

export interface StartsOn {
  readonly text?: string;
  readonly lights: readonly string[];
}

export interface Revision {
  readonly number: string;
  readonly date?: string;
  readonly effective?: string;
  readonly by?: string;
}

export interface Baseline {
  readonly document: string;
  readonly section?: string;
  readonly revision?: string;
}

/** The author accepts a finding, with a reason; one that matches nothing is itself reported. */
export interface Allow {
  readonly code: string;
  /** A step's name; absent: anywhere in the procedure. */
  readonly step?: string;
  readonly rule?: string;
  readonly because: string;
  readonly span: Span;
}

export interface StepCommon {
  /** Unique in the procedure: the author's id where there is one, else made from the step's path. Inside a performed procedure `PROCEDURE:STEP`. */
  readonly name: string;
  readonly id?: string;
  /** As printed: `7`, `7a`; sections are lettered. */
  readonly number: string;
  /** The whole step. */
  readonly span: Span;
  /** The verb and its value: where a finding about the step puts its caret. */
  readonly verb: Span;
  readonly by: readonly string[];
  readonly needs?: Condition;
  readonly warning?: string;
  readonly caution?: string;
  readonly note?: string;
  readonly words?: Words;
  /** A person's time, milliseconds; the project's default where not given. */
  readonly takes: number;
  readonly critical: boolean;
  /** Over fit variables only. */
  readonly applies?: Condition;
  readonly ref?: string;
  readonly added?: string;
  readonly moved?: string;
  readonly because?: string;
  /** The side of a `for-each` or a sided `perform` that this copy is for. */
  readonly side?: string;
}

export type Words = { readonly text: string } | { readonly challenge: string; readonly response: string };

/** Controls that a line moves, and where to. `either`: one of them, whichever the crew takes. */
export interface Move {
  readonly choice: "each" | "either";
  /** Control ids in declared order; more than one for a bare sided name or a group. */
  readonly controls: readonly string[];
  /** As written: `cooling-pump`, for the card. */
  readonly written: string;
  readonly position: string;
  readonly span: Span;
}

export type Step = StepCommon & Verb;

export type Verb =
  /** `atOnce`: written as a map, one line on the card; else a list, a line each. The model moves one control after another either way. */
  | { readonly kind: "set"; readonly moves: readonly Move[]; readonly atOnce: boolean }
  | { readonly kind: "verify"; readonly moves: readonly Move[]; readonly atOnce: boolean }
  | { readonly kind: "check"; readonly condition: Condition; readonly ifNot: readonly Step[] }
  | {
      readonly kind: "observe";
      /** The lights looked at. */
      readonly lights: readonly string[];
      readonly set?: string;
      readonly lit: readonly ExpectedLight[];
      readonly count: ReadonlyMap<Colour, number>;
      readonly countSpan?: Span;
      readonly ifNot: readonly IfNotLit[];
    }
  | { readonly kind: "press"; readonly moves: readonly Move[]; readonly times: number }
  | {
      readonly kind: "hold";
      readonly moves: readonly Move[];
      /** Milliseconds; `upTo` is the crew's limit and no sure time. */
      readonly for?: { readonly milliseconds: number; readonly upTo: boolean };
      readonly steps: readonly Step[];
    }
  | { readonly kind: "wait"; readonly milliseconds: number }
  | {
      readonly kind: "wait-for";
      readonly condition: Condition;
      readonly within?: number;
      readonly ifNot: readonly Step[];
      readonly steps: readonly Step[];
    }
  | {
      readonly kind: "if";
      readonly condition: Condition;
      readonly then: readonly Step[];
      readonly else: readonly Step[];
    }
  /** Tried in order. A way without a condition is `otherwise`, the last. */
  | { readonly kind: "decide"; readonly ways: readonly Way[] }
  | { readonly kind: "choose"; readonly title?: string; readonly options: readonly Option[] }
  | {
      readonly kind: "repeat";
      readonly steps: readonly Step[];
      readonly until?: Condition;
      readonly times?: number;
      /** Milliseconds waited between rounds. */
      readonly every?: number;
      /** Gauges that may move inside. */
      readonly moves: readonly string[];
    }
  | { readonly kind: "ask"; readonly outside: string; readonly state: string; readonly of: string }
  | { readonly kind: "together"; readonly lanes: readonly Lane[] }
  /** A part or another procedure, its steps in place (sides filled in). `begins` is empty for a part. */
  | {
      readonly kind: "perform";
      readonly target: { readonly kind: "part" | "procedure"; readonly id: string; readonly title: string };
      readonly begins: readonly Condition[];
      readonly steps: readonly Step[];
    }
  | { readonly kind: "go-to"; readonly procedure: string }
  | { readonly kind: "finish"; readonly text?: string }
  | { readonly kind: "set-aside"; readonly text: string }
  | { readonly kind: "pause"; readonly text?: string; readonly releasedBy?: string }
  | { readonly kind: "watch"; readonly condition: Condition; readonly ifNot: readonly Step[] }
  | { readonly kind: "prohibit"; readonly condition: Condition; readonly until?: Condition }
  | { readonly kind: "record"; readonly gauge: string }
  | { readonly kind: "sign"; readonly text?: string }
  | { readonly kind: "say"; readonly lines: readonly { readonly who?: string; readonly text: string }[] }
  /** `marks`: nobody's line, put in to be asked about; that it is done is no act, or comes by itself as a failure does. */
  | { readonly kind: "do"; readonly text: string; readonly marks?: "place" | "failure" }
  | { readonly kind: "section"; readonly title: string; readonly steps: readonly Step[] }
  | { readonly kind: "memory"; readonly steps: readonly Step[] };

export interface ExpectedLight {
  readonly light: string;
  /** Only in this case. */
  readonly when?: Condition;
  readonly span: Span;
}

export interface IfNotLit {
  /** Absent: whichever light is wrong. */
  readonly light?: string;
  readonly steps: readonly Step[];
}

export interface Way {
  readonly condition?: Condition;
  readonly steps: readonly Step[];
  readonly span: Span;
}

export interface Option {
  readonly title: string;
  readonly steps: readonly Step[];
}

export interface Lane {
  readonly by: string;
  readonly steps: readonly Step[];
}
