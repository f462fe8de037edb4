import { unreachable } from "../../invariant.js";
import type { Procedure, Step } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";
import { joinWords } from "../card/names.js";
import type { Words } from "../card/wording.js";
import type { Flow, FlowNode, SequenceFlow, Shape } from "./flow.js";
import { textOf } from "./words.js";

/** What the text of a shape needs to know of its surroundings. */
export interface Site {
  readonly program: Program;
  readonly procedure: Procedure;
  readonly words: Words;
  /** Who does it is said at each step: more than one does, and no lane says it already. */
  readonly sayWho: boolean;
  readonly heavy: boolean;
  readonly flowOf: (site: Site, steps: readonly Step[]) => SequenceFlow;
}

export type NodeFlow = Flow & { readonly kind: "node" };

export function one(site: Site, step: Step): SequenceFlow {
  return sequence([shape(site, step, "process", textOf(site.words, step))]);
}

export function shape(site: Site, step: Step, kind: Shape, text: readonly string[]): Flow & { kind: "node" } {
  return { kind: "node", node: { ...node(step.name, kind, text).node, ...commonOf(site, step) } };
}

export function commonOf(site: Site, step: Step): Pick<FlowNode, "number" | "head" | "heavy" | "alerts"> {
  const who = site.sayWho
    ? joinWords(
        step.by.map((role) => site.procedure.crew.get(role) ?? role),
        "and",
      )
    : "";
  const alerts = [
    ...(step.warning ? [`WARNING ${step.warning}`] : []),
    ...(step.caution ? [`CAUTION ${step.caution}`] : []),
  ];
  return { number: step.number, head: who, heavy: site.heavy || step.critical, alerts };
}

export function node(id: string, kind: Shape, text: readonly string[]): Flow & { kind: "node" } {
  return { kind: "node", node: { id, shape: kind, number: "", head: "", text, heavy: false, alerts: [] } };
}

/** The heading goes to the first shape of the flow; a loop's is beside its head. */
export function headed(flow: SequenceFlow, heading: string): SequenceFlow {
  const [first, ...rest] = flow.of;
  return first ? sequence([headedFlow(first, heading), ...rest]) : flow;
}

function headedFlow(flow: Flow, heading: string): Flow {
  const onto = (target: FlowNode): FlowNode => ({ ...target, heading: joined(heading, target.heading ?? "") });
  switch (flow.kind) {
    case "node":
      return { ...flow, node: onto(flow.node) };
    case "sequence":
      return headed(flow, heading);
    case "fork":
      return { ...flow, decision: onto(flow.decision) };
    case "loop":
      return { ...flow, head: onto(flow.head) };
    case "lanes":
      return { ...flow, fork: onto(flow.fork) };
    case "away":
      return { ...flow, out: onto(flow.out) };
    default:
      return unreachable(flow);
  }
}

export function joined(first: string, second: string): string {
  return first && second ? `${first} · ${second}` : first || second;
}

/** Sequences inside a sequence are drawn into one. */
export function sequence(of: readonly Flow[]): SequenceFlow {
  return { kind: "sequence", of: of.flatMap((flow) => (flow.kind === "sequence" ? flow.of : [flow])) };
}

export const NOTHING: SequenceFlow = { kind: "sequence", of: [] };

export function titleOf(program: Program, procedure: string): string {
  return program.procedures.get(procedure)?.title ?? procedure;
}
