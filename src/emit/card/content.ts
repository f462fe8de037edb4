import type { ReadAs, Revision } from "../../program/procedure.js";
import type { Colour } from "../../program/system.js";
import type { Span } from "../../source/file.js";

/** What stands on one card, in reading order and without geometry. Every writer (page layout, HTML, text) starts from this. */
export interface CardDocument {
  readonly id: string;
  readonly title: string;
  /** Titles of the system and of the project. */
  readonly system: string;
  readonly project: string;
  readonly category: string;
  readonly readAs: ReadAs;
  /** BCP 47. */
  readonly language: string;
  readonly draft: boolean;
  readonly revision?: Revision;
  /** Number of the revision that the change bars count from; empty where that one had none. */
  readonly since?: string;
  readonly summary?: string;
  readonly useWhen?: string;
  readonly startsOn?: { readonly text?: string; readonly lamps: readonly Lamp[] };
  readonly crew: readonly Role[];
  /** The mark of the role that reads the card aloud. */
  readonly reader?: string;
  /** What the card takes for granted, in words. */
  readonly begins: readonly string[];
  readonly blocks: readonly Block[];
  /** What is still forbidden when the card has ended. */
  readonly inForce: readonly string[];
  readonly next?: Reference;
  readonly footnotes: readonly Footnote[];
  /** What the marks on this card mean; only those that occur on it. */
  readonly keys: readonly Key[];
  /** The lines of caution that stand on every page. */
  readonly cautions: readonly string[];
  /** Where the procedure stands in its source: findings about the card point there. */
  readonly span: Span;
}

export interface Role {
  /** Short, in capitals: printed beside lines. */
  readonly mark: string;
  readonly title: string;
}

/** Another card. `title` is its id where the program does not hold it. */
export interface Reference {
  readonly procedure: string;
  readonly title: string;
}

export interface Footnote {
  /** Printed beside the line, `+1`; empty for what is left out of the card and so has no line. */
  readonly mark: string;
  readonly text: string;
}

export interface Key {
  readonly mark: "bar" | "removed" | "killer" | "footnote" | "verify" | "check";
  readonly text: string;
}

export type Block = Section | Memory | Group | StepBlock;

export interface Section {
  readonly kind: "section";
  readonly name: string;
  readonly letter: string;
  readonly title: string;
  readonly by: readonly string[];
  readonly marks: Marks;
  readonly alerts: readonly Alert[];
  readonly blocks: readonly Block[];
}

/** Done from memory, before the card is taken up. */
export interface Memory {
  readonly kind: "memory";
  readonly name: string;
  readonly alerts: readonly Alert[];
  readonly blocks: readonly Block[];
}

/** Lines that belong together under a lead: a branch, a held control, a loop, a lane, a panel of a flow. */
export interface Group {
  readonly kind: "group";
  readonly style: GroupStyle;
  /** `If`, `If not`, `Otherwise`, `Meanwhile`: set in bold. */
  readonly word: string;
  readonly text: string;
  /** Boxes to tick before the lead: one for an option, one a round for a loop that is counted. */
  readonly boxes: number;
  /** Of a step that has no line of its own, so that its lead stands for it. */
  readonly tags?: Tags;
  readonly blocks: readonly Block[];
}

/** What is printed around a line: who does it, for which ships, the mark of a foot note. */
export interface Tags {
  readonly by: readonly string[];
  readonly only?: string;
  readonly footnote?: string;
}

export type GroupStyle = "branch" | "option" | "held" | "meanwhile" | "loop" | "lane" | "part" | "panel";

/** One step: what stands before it, its lines, and what hangs from it. Alerts and the first line are never parted. */
export interface StepBlock {
  readonly kind: "step";
  readonly name: string;
  readonly number: string;
  /** Marks of those who do or answer it; empty where the crew is one person. */
  readonly by: readonly string[];
  /** Names of the ships that it is for, where it is not for all. */
  readonly only?: string;
  readonly marks: Marks;
  readonly alerts: readonly Alert[];
  readonly lines: readonly Line[];
  readonly after: readonly Block[];
}

export interface Marks {
  readonly changed: boolean;
  /** A line that stood just before this one is gone. */
  readonly removedBefore: boolean;
  readonly killer: boolean;
  /** `+1`. */
  readonly footnote?: string;
}

export interface Alert {
  readonly kind: "warning" | "caution" | "note";
  readonly text: string;
}

export type Line =
  /** Challenge and response; `lead` is a plain word before the response: `verify`, `check`. `joined`: at once with the line before it. */
  | {
      readonly kind: "pair";
      readonly challenge: string;
      readonly lead?: "verify" | "check";
      readonly response: string;
      readonly joined: boolean;
    }
  | { readonly kind: "plain"; readonly text: string }
  | { readonly kind: "speech"; readonly who?: string; readonly text: string }
  /** Room to write when it began and when it is over or too late; `span` is the time between. */
  | { readonly kind: "timer"; readonly end: "Over" | "Latest"; readonly span: string }
  /** Room to write a reading or initials. */
  | { readonly kind: "blank"; readonly challenge: string; readonly unit: string }
  | {
      readonly kind: "lights";
      readonly title: string;
      /** One column each, side by side. */
      readonly cases: readonly LightCase[];
      readonly lamps: readonly LampRow[];
      readonly rest: string;
    }
  | { readonly kind: "jump"; readonly word: string; readonly to: Reference }
  | { readonly kind: "end"; readonly good: boolean; readonly word: string; readonly text: string }
  | { readonly kind: "pause"; readonly text: string }
  /** In force from here on: a watch or a prohibition. */
  | { readonly kind: "standing"; readonly word: string; readonly text: string };

/** A state of the equipment in which lights are looked at; `heading` is empty where there is only one. */
export interface LightCase {
  readonly heading: string;
  readonly counts: readonly Count[];
}

/** A lamp, and in which of the cases it is lit. */
export interface LampRow {
  readonly lamp: Lamp;
  readonly lit: readonly boolean[];
}

export interface Count {
  readonly colour: Colour;
  readonly number: number;
}

/** A light as drawn: colour and letter, so that it reads without colour. A sound has neither. */
export interface Lamp {
  readonly label: string;
  readonly colour?: Colour;
  readonly sound: boolean;
  /** Only on the ships named, where it is not fitted to all. */
  readonly only?: string;
}
