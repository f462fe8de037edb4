import { unreachable } from "../../invariant.js";
import { type AwayFlow, type Exit, type Flow, type FlowNode, goesOn, type SequenceFlow } from "./flow.js";

/** Connectors in pairs: both ends of a line that is cut have the same number, until letters take its place. */
export class Pairs {
  private count = 0;

  /** The end at which a line stops, and the one at which it goes on. */
  next(): { readonly out: FlowNode; readonly back: FlowNode } {
    this.count += 1;
    return { out: connector(this.count, "out"), back: connector(this.count, "in") };
  }
}

/** A flow with a part taken out of it, and the part as a chart of its own. */
export interface Detached {
  readonly flow: Flow;
  readonly part: SequenceFlow;
  /** The part goes on from what came before the flow, and leads to it. */
  readonly isAhead: boolean;
}

/** Takes the largest part out of a flow that is too big for a page; undefined where there is nothing more to take. */
export function detachLargest(flow: Flow, pairs: Pairs): Detached | undefined {
  const parts = partsOf(flow).filter(({ part }) => part.of.length > 0 && !isAway(part));
  const sizes = parts.map(({ part }) => shapesIn(part));
  const largest = parts[sizes.indexOf(Math.max(...sizes))];
  return largest ? away(largest, pairs) : undefined;
}

/** A part that begins where a line comes back goes with that: the line leads to it at once, and not by way of the page that it leaves. */
function away(from: Part, pairs: Pairs): Detached {
  if (beginsBack(from.part)) {
    const { out, back } = pairs.next();
    return {
      flow: from.put(sequence([nodeFlow(back)])),
      part: sequence([...from.part.of, nodeFlow(out)]),
      isAhead: true,
    };
  }
  const there = pairs.next();
  const here = goesOn(from.part) ? pairs.next() : undefined;
  const stub: AwayFlow = { kind: "away", out: there.out, ...(here ? { back: here.back } : {}) };
  const part = [nodeFlow(there.back), ...from.part.of, ...(here ? [nodeFlow(here.out)] : [])];
  return { flow: from.put(sequence([stub])), part: sequence(part), isAhead: false };
}

/** A part of a flow, and the flow with something else in its place. */
interface Part {
  readonly part: SequenceFlow;
  readonly put: (other: SequenceFlow) => Flow;
}

function partsOf(flow: Flow): readonly Part[] {
  switch (flow.kind) {
    case "fork":
      return [
        { part: flow.down.flow, put: (other) => ({ ...flow, down: { ...flow.down, flow: other } }) },
        ...flow.rights.map(
          (right, index): Part => ({
            part: right.flow,
            put: (other) => ({ ...flow, rights: withFlow(flow.rights, index, other) }),
          }),
        ),
      ];
    case "loop":
      return [{ part: flow.body, put: (other) => ({ ...flow, body: other }) }];
    case "lanes":
      return flow.lanes.map((lane, index): Part => {
        if (beginsBack(lane.flow) && goesOn(lane.flow))
          return {
            part: lane.flow,
            put: (other) => ({ ...flow, lanes: flow.lanes.with(index, { ...lane, flow: other }) }),
          };
        const [lead, rest] = withoutLead(lane.flow.of);
        const put = (of: readonly Flow[]) => ({ ...lane, flow: sequence([...lead, ...of]) });
        return { part: sequence(rest), put: (other) => ({ ...flow, lanes: flow.lanes.with(index, put(other.of)) }) };
      });
    case "node":
    case "sequence":
    case "away":
      return [];
    default:
      return unreachable(flow);
  }
}

function beginsBack({ of: [first] }: SequenceFlow): boolean {
  return first?.kind === "node" && first.node.shape === "connector" && !first.node.leads;
}

/** The connector or start that a chart begins with, apart from the rest of it. */
export function withoutLead(of: readonly Flow[]): readonly [readonly Flow[], readonly Flow[]] {
  const first = of[0];
  const isLead = first?.kind === "node" && (first.node.shape === "connector" || first.node.shape === "start");
  return isLead ? [[first], of.slice(1)] : [[], of];
}

export function sequence(of: readonly Flow[]): SequenceFlow {
  return { kind: "sequence", of };
}

function withFlow(rights: readonly Exit[], index: number, flow: SequenceFlow): readonly Exit[] {
  return rights.map((right, at) => (at === index ? { ...right, flow } : right));
}

function isAway(part: SequenceFlow): boolean {
  return part.of.every((flow) => flow.kind === "away" || (flow.kind === "node" && flow.node.shape === "connector"));
}

/** How many shapes a flow has, those taken out of it not counted. */
export function shapesIn(flow: Flow): number {
  switch (flow.kind) {
    case "node":
      return 1;
    case "sequence":
      return flow.of.reduce((sum, one) => sum + shapesIn(one), 0);
    case "away":
      return 0;
    case "fork":
    case "loop":
    case "lanes":
      return partsOf(flow).reduce((sum, { part }) => sum + shapesIn(part), 1);
    default:
      return unreachable(flow);
  }
}

export function nodeFlow(node: FlowNode): Flow {
  return { kind: "node", node };
}

/** Its letter and page are not yet known: wide ones keep the room for them. */
function connector(pair: number, end: "out" | "in"): FlowNode {
  const head = end === "out" ? "to p. 88" : "from p. 88";
  const leads = end === "out";
  return {
    id: `connector-${pair}-${end}`,
    shape: "connector",
    number: "",
    head,
    text: ["M"],
    heavy: false,
    alerts: [],
    leads,
  };
}
