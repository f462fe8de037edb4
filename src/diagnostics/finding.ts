import type { Span } from "../source/file.js";

export type Severity = "error" | "warning" | "info";

/** A place in a source with a short remark, shown under the line. */
export interface Label {
  readonly at: Span;
  readonly text: string;
}

/** A replacement of a span: what a fix would change. */
export interface Edit {
  readonly at: Span;
  readonly text: string;
}

/** One line of the story of how a finding happens. `when` is "start", "step 7", "then". */
export interface StoryLine {
  readonly when: string;
  readonly what: string;
  /** The same in fewer words, for where room is short. */
  readonly brief?: string;
  /** What the equipment does in answer, in the right-hand column. */
  readonly effect?: string;
  readonly at?: Span;
  /** True on the one line at which the rule is broken. */
  readonly broken?: boolean;
}

/** What a finding is about; its stable identity is made from these and the code, never from line numbers. */
export interface Subject {
  readonly procedure?: string;
  readonly step?: string;
  readonly rule?: string;
  readonly thing?: string;
}

/** A complaint, as data until the last moment. `message` is a fact, and its first line stands alone. */
export interface Finding {
  readonly code: string;
  readonly severity: Severity;
  readonly message: string;
  readonly at: Span;
  /** What stands beside the caret of `at`. */
  readonly remark?: string;
  readonly labels: readonly Label[];
  readonly help: readonly string[];
  readonly edits?: readonly Edit[];
  readonly story?: readonly StoryLine[];
  /** How many moments the story takes after the start; of several tails the shortest is told. */
  readonly moments?: number;
  /** Names of other steps at which the same can come about first. */
  readonly also?: readonly string[];
  readonly subject: Subject;
  /** The tails on which it happens, when not on all of them. */
  readonly tails?: readonly string[];
}

/** The page of a finding's code, kept beside the code that raises it; the catalogue gathers them. */
export interface FindingKind {
  /** `thing/what`, in kebab case. */
  readonly code: string;
  readonly severity: Severity;
  /** One sentence for the table of codes. */
  readonly summary: string;
  /** Why it matters on board; names the published source where there is one. */
  readonly why: string;
  /** A small repository that raises exactly this code: file name to text. */
  readonly bad: Readonly<Record<string, string>>;
  /** The same, mended: raises nothing. */
  readonly good: Readonly<Record<string, string>>;
}

/** What a stage gives back: a value, holes and all, and what it has to say. */
export interface Outcome<T> {
  readonly value: T;
  readonly findings: readonly Finding[];
}

/** Builds a finding of a kind; the few fields that are always there come first. */
export function finding(
  kind: FindingKind,
  at: Span,
  message: string,
  more: Partial<Omit<Finding, "code" | "at" | "message">> = {},
): Finding {
  return { code: kind.code, severity: kind.severity, message, at, labels: [], help: [], subject: {}, ...more };
}
