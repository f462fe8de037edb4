import { invariant, unreachable } from "../../invariant.js";
import type { Procedure, Step } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";
import { everyStep } from "../card/walk.js";
import { capitalised, sentenceOf, type Words } from "../card/wording.js";
import { textOf } from "../flowchart/words.js";

/** A step makes something so that a later step, a rule or a promise relies on: with the step left out, its verdict changes. */
export interface Reliance {
  /** Name of the step. */
  readonly step: string;
  readonly on:
    | { readonly kind: "step"; readonly step: string }
    | { readonly kind: "rule"; readonly rule: string }
    /** By its place in `ends`. */
    | { readonly kind: "promise"; readonly index: number }
    /** A light set that is claimed to be tested in full, by its place in `covers`. */
    | { readonly kind: "cover"; readonly index: number }
    /** The procedure that takes over. */
    | { readonly kind: "next"; readonly procedure: string };
}

/** All that was found, and how many steps could not be answered for in the time: more may rely on them. */
export interface Reliances {
  readonly all: readonly Reliance[];
  readonly unanswered: number;
}

/** One box of the graph. */
export interface GraphNode {
  readonly id: string;
  readonly kind: "step" | "rule" | "promise";
  /** Number of a step; empty for the others. */
  readonly number: string;
  readonly text: readonly string[];
}

export interface GraphEdge {
  readonly from: string;
  readonly to: string;
}

export interface Graph {
  readonly nodes: readonly GraphNode[];
  readonly edges: readonly GraphEdge[];
  /** Steps that nothing relies on and that rely on nothing: not drawn. */
  readonly apart: number;
  readonly unanswered: number;
}

/** The graph of what is relied on: steps in their order, then rules and promises. What the procedure lacks is left out. */
export function graphOf(program: Program, procedure: Procedure, { all, unanswered }: Reliances): Graph {
  const system = program.systems.get(procedure.system);
  invariant(system, `procedure ${procedure.id} has no system`);
  const steps = everyStep(procedure.steps);
  const words: Words = { system, numberOf: (name) => steps.find((step) => step.name === name)?.number };
  const known = [
    ...steps.map((step) => stepNode(program, words, step)),
    ...program.rules.map(
      (rule): GraphNode => ({
        id: `rule ${rule.id}`,
        kind: "rule",
        number: "",
        text: [rule.says ?? capitalised(rule.id.replaceAll("-", " "))],
      }),
    ),
    ...procedure.ends.map(
      (promise, index): GraphNode => ({
        id: `promise ${index}`,
        kind: "promise",
        number: "",
        text: [`At the end: ${sentenceOf(words, promise)}`],
      }),
    ),
    ...procedure.covers.map(
      ({ set }, index): GraphNode => ({
        id: `cover ${index}`,
        kind: "promise",
        number: "",
        text: [`Every light tested: ${system.lightSets.get(set)?.label ?? set}`],
      }),
    ),
    ...[...program.procedures.values()].map(
      ({ id, title }): GraphNode => ({
        id: `next ${id}`,
        kind: "promise",
        number: "",
        text: [`Taken for granted by the card that comes next: ${title}`],
      }),
    ),
  ];
  const ids = new Set(known.map((node) => node.id));
  const edges = unique(all.map((reliance): GraphEdge => ({ from: `step ${reliance.step}`, to: targetOf(reliance) })));
  const drawn = edges.filter(({ from, to }) => from !== to && ids.has(from) && ids.has(to));
  const used = new Set(drawn.flatMap(({ from, to }) => [from, to]));
  const nodes = known.filter((node) => used.has(node.id));
  const stepCount = steps.filter((step) => step.kind !== "section" && step.kind !== "memory").length;
  const apart = stepCount - nodes.filter((node) => node.kind === "step").length;
  return { nodes, edges: drawn, apart, unanswered };
}

function stepNode(program: Program, words: Words, step: Step): GraphNode {
  return { id: `step ${step.name}`, kind: "step", number: step.number, text: stepText(program, words, step) };
}

/** A decision, a loop or a jump has no text of its own: what it asks, or where it leads, stands for it. */
export function stepText(program: Program, words: Words, step: Step): readonly string[] {
  const text = textOf(words, step);
  if (text.length > 0) return text;
  switch (step.kind) {
    case "if":
      return [`If ${sentenceOf(words, step.condition)}`];
    case "decide":
      return [
        `Decide: ${step.ways.map(({ condition }) => (condition ? sentenceOf(words, condition) : "otherwise")).join("; ")}`,
      ];
    case "repeat":
      return [step.until ? `Repeat until ${sentenceOf(words, step.until)}` : `Repeat ${step.times ?? 1} times`];
    case "section":
      return [step.title];
    case "perform":
      return [capitalised(step.target.title)];
    case "go-to":
      return [`Go to: ${program.procedures.get(step.procedure)?.title ?? step.procedure}`];
    case "together":
      return ["At the same time"];
    case "memory":
      return ["Memory items"];
    default:
      return [capitalised(step.kind)];
  }
}

function targetOf({ on }: Reliance): string {
  switch (on.kind) {
    case "step":
      return `step ${on.step}`;
    case "rule":
      return `rule ${on.rule}`;
    case "promise":
    case "cover":
      return `${on.kind} ${on.index}`;
    case "next":
      return `next ${on.procedure}`;
    default:
      return unreachable(on);
  }
}

function unique(edges: readonly GraphEdge[]): readonly GraphEdge[] {
  return [...new Map(edges.map((edge) => [`${edge.from}\n${edge.to}`, edge])).values()];
}
