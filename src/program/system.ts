import type { Span } from "../source/file.js";
import type { Condition } from "./condition.js";
import type { Quantity } from "./quantity.js";

/** One member of the world with its full id. A sided thing is here once for each side: `cooling-pump.port`. */
export interface Thing {
  readonly id: string;
  /** What is printed: the words engraved on it. */
  readonly label: string;
  /** The id as declared: `cooling-pump` for `cooling-pump.port`; the id itself where there are no sides. */
  readonly family: string;
  readonly side?: string;
  /** What is printed for the side: `1`, else the side's id. */
  readonly sideLabel?: string;
  /** Over fit variables only; absent: always fitted. */
  readonly fitted?: Condition;
  /** The place of its declaration (the key). */
  readonly span: Span;
}

export interface Position {
  readonly id: string;
  /** The engraved word; the id in capitals where none was given. */
  readonly placard: string;
}

export interface Control extends Thing {
  readonly kind: "control";
  /** In written order; at least two. */
  readonly positions: readonly Position[];
  /** Sprung position to where it goes when let go. */
  readonly springs: ReadonlyMap<string, string>;
  /** The id of the guard over this control: `control-power.guard`, itself a control with positions `closed` and `open`. */
  readonly guard?: string;
  /** Set on a guard: while it is `closed` the control stands at `position`. */
  readonly guards?: { readonly control: string; readonly position: string };
  readonly duty?: Duty;
  readonly safety: boolean;
  readonly panel?: string;
  /** In millimetres from the panel's top left corner. */
  readonly at?: readonly [number, number];
}

/** Limits of a sprung position: for how long, with what rest, how often. Milliseconds. */
export interface Duty {
  readonly on?: number;
  readonly rest?: number;
  readonly tries?: number;
  readonly span: Span;
}

export interface Gauge extends Thing {
  readonly kind: "gauge";
  readonly unit: string;
  readonly dimension: string;
  readonly low?: Quantity;
  readonly high?: Quantity;
  /** `normal`, `caution`, `limits`. */
  readonly bands: readonly Band[];
  /** When its value may change by itself: never (absent), or while the condition holds (a constant true: always). */
  readonly moves?: Condition;
  readonly panel?: string;
  readonly at?: readonly [number, number];
}

export interface Band {
  readonly name: string;
  readonly low?: Quantity;
  readonly high?: Quantity;
}

export interface Equipment extends Thing {
  readonly kind: "equipment";
  readonly states: readonly string[];
  /** In written order: the first written wins a conflict. */
  readonly changes: readonly Change[];
  /** How the crew can see its state. */
  readonly shown?: string;
}

export interface Change {
  readonly from: readonly string[];
  readonly to: string;
  readonly when?: Condition;
  /** Present: a delayed change, in milliseconds. */
  readonly takes?: { readonly low: number; readonly high: number };
  /** A failure (`when: anytime`): proofs are made without it. */
  readonly anytime: boolean;
  readonly span: Span;
}

export interface Outside extends Thing {
  readonly kind: "outside";
  readonly states: readonly string[];
  readonly shown?: string;
}

export interface NamedCondition extends Thing {
  readonly kind: "condition";
  readonly means: Condition;
  readonly shown?: string;
}

export type Colour = "red" | "amber" | "green" | "blue" | "white" | "cyan";

export interface Light extends Thing {
  readonly kind: "light";
  readonly sound: boolean;
  readonly colour?: Colour;
  readonly alert?: "warning" | "caution" | "advisory";
  /** Absent: it can be seen and never proved. */
  readonly litWhen?: Condition;
  readonly flashingWhen?: Condition;
  readonly latchedUntil?: Condition;
  readonly cancelledBy?: Condition;
  /** The control that it sits in. */
  readonly in?: string;
  readonly panel?: string;
  readonly at?: readonly [number, number];
}

export interface LightSet {
  readonly id: string;
  readonly label: string;
  readonly lights: readonly string[];
  readonly span: Span;
}

export interface Group {
  readonly id: string;
  readonly members: readonly string[];
  readonly span: Span;
}

/** A fit variable: what differs between members of the fleet. */
export interface Fit {
  readonly id: string;
  readonly values: readonly string[];
  readonly span: Span;
}

/** A member of the fleet with its fit. Without a `fleet:` every combination is one, named `heater=fitted, ...`. */
export interface Tail {
  readonly name: string;
  readonly fit: ReadonlyMap<string, string>;
  readonly span: Span;
}

/** Millimetres; `at` is the top left corner. */
export interface Panel {
  readonly id: string;
  readonly title: string;
  readonly area?: string;
  readonly at?: readonly [number, number];
  readonly size?: readonly [number, number];
  readonly span: Span;
}

export interface System {
  readonly id: string;
  readonly title: string;
  readonly fits: readonly Fit[];
  /** Never empty: a system without fits has one tail with an empty name. */
  readonly tails: readonly Tail[];
  readonly controls: ReadonlyMap<string, Control>;
  readonly gauges: ReadonlyMap<string, Gauge>;
  readonly equipment: ReadonlyMap<string, Equipment>;
  readonly outside: ReadonlyMap<string, Outside>;
  readonly conditions: ReadonlyMap<string, NamedCondition>;
  readonly lights: ReadonlyMap<string, Light>;
  readonly lightSets: ReadonlyMap<string, LightSet>;
  readonly groups: ReadonlyMap<string, Group>;
  readonly panels: ReadonlyMap<string, Panel>;
  readonly span: Span;
}
