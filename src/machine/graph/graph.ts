import type { Condition } from "../../program/condition.js";
import type { Step } from "../../program/procedure.js";
import type { Expression, Variable } from "../expression.js";
import type { Operation } from "../operation.js";

/** A place in a procedure: between two acts. */
export interface Node {
  readonly id: number;
  /** Gauges that may take any value in a pause here (besides those that always may). */
  readonly moves: ReadonlySet<string>;
  /** Controls that a step holds here, each with where it goes when let go; inner ones last. */
  readonly holds: readonly Hold[];
  /** Present where a run ends. */
  readonly end?: End;
  /** The next act comes at once: neither a pause nor another person comes between. */
  readonly isUrgent?: boolean;
}

export interface Hold {
  readonly control: string;
  readonly rest: string;
  /** Who took it. */
  readonly step: Step;
}

export type End =
  | { readonly kind: "finish"; readonly step?: Step }
  | { readonly kind: "set-aside" | "go-to"; readonly step: Step }
  /** No way of a `decide` fits; reported, and nothing follows. */
  | { readonly kind: "gap"; readonly step: Step };

/** `pass` makes no moment; `act` and `tick` do, and a tick does not count in the length of a story. */
export interface Edge {
  readonly id: number;
  readonly from: Node;
  readonly to: Node;
  readonly kind: "act" | "pass" | "tick";
  /** Ahead of settling. */
  readonly operations: readonly Operation[];
  /** Assumed at the moment itself, after settling and memories. */
  readonly after: Expression;
  readonly act: Act;
  readonly step: Step | undefined;
  /** Things that become known. */
  readonly learns: readonly string[];
  /** Time as stated (`within` rules), in milliseconds; infinite where the crew waits without a bound. */
  readonly stated: number;
  /** Indexes of the lanes that act (several only in a tick); undefined outside `together`. */
  readonly lanes: readonly number[] | undefined;
  /** All lanes are done, and become one line again. */
  readonly joins?: boolean;
}

/** What happens on an edge, for stories. */
export type Act =
  | {
      readonly kind: "set";
      readonly control: string;
      readonly position: string;
      readonly how: "set" | "hold" | "release";
    }
  | { readonly kind: "look"; readonly condition?: Condition; readonly outcome?: boolean }
  | { readonly kind: "wait"; readonly phase: "begun" | "over" }
  | { readonly kind: "ask"; readonly outside: string; readonly state: string }
  | { readonly kind: "mark" | "tick" | "pass" }
  /** Nobody's act: what fails does so by itself, in a pause. */
  | { readonly kind: "failure" };

/**
 * What is to be asked at places or of edges, beside the rules. There are several places where another lane works at the
 * same time: one for each place it may be at.
 */
export type Probe = {
  readonly step: Step | undefined;
  readonly nodes: readonly Node[];
  readonly edges: readonly Edge[];
} & (
  | /** Holds in every state that comes here ready to act. */ {
      readonly kind: "needs" | "begins";
      readonly condition: Condition;
      readonly truth: Expression;
    }
  | /** The lights are as listed in every state at which the edges look at them. */ { readonly kind: "observe" }
  | /** Every look of an `observe`, those that go on to its `if-not` too. */ { readonly kind: "watch" }
  | /** An act with the guard closed. */ {
      readonly kind: "guard";
      readonly control: string;
      readonly closed: Expression;
    }
  | /** From every state at `nodes` a path leaves the region. */ {
      readonly kind: "stuck";
      readonly what: "wait" | "loop";
      readonly region: readonly Node[];
    }
  | /** The other lane holds the control: the act cannot be done at these nodes. */ {
      readonly kind: "held";
      readonly control: string;
    }
  | /** The branch of a check that fails. */ { readonly kind: "if-not" }
  | /** A move that may find its control already there. */ { readonly kind: "move"; readonly already: Expression }
  | /** What is decided by; `but` are lights whose own state is judged. */ {
      readonly kind: "look";
      readonly condition: Condition;
      readonly truth: Expression;
      readonly but: readonly string[];
    }
  | {
      readonly kind: "prohibit";
      readonly active: Variable;
      readonly condition: Condition;
      readonly truth: Expression;
      readonly until: Expression;
    }
  | /** Every final state here satisfies what the next procedure takes for granted. */ {
      readonly kind: "hand-over";
      readonly procedure: string;
      readonly condition: Condition;
      readonly truth: Expression;
    }
);

/** A procedure as places and acts, on one tail. */
export interface Graph {
  readonly nodes: readonly Node[];
  readonly edges: readonly Edge[];
  readonly outgoing: ReadonlyMap<Node, readonly Edge[]>;
  /** For each node id its place in reverse post-order from the start; -1 where no path leads. */
  readonly ranks: Int32Array;
  /** The places that paths lead to, by that order. */
  readonly ranked: readonly Node[];
  readonly start: Node;
  /** The good end. */
  readonly finish: Node;
  readonly probes: readonly Probe[];
  /** Where each step that is there on this tail begins. */
  readonly entries: ReadonlyMap<Step, readonly Node[]>;
}
