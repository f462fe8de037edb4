import { unreachable } from "../../invariant.js";
/** A structured procedure as what its chart is made of: shapes one after another, forks, loops and lanes. No geometry yet. */
export type Flow = NodeFlow | SequenceFlow | ForkFlow | LoopFlow | LanesFlow | AwayFlow;

export interface NodeFlow {
  readonly kind: "node";
  readonly node: FlowNode;
}

export interface SequenceFlow {
  readonly kind: "sequence";
  readonly of: readonly Flow[];
}

/** A decision: one way goes on downwards, the others leave to the right. All that do not end join again below. */
export interface ForkFlow {
  readonly kind: "fork";
  readonly decision: FlowNode;
  readonly down: Exit;
  readonly rights: readonly Exit[];
}

export interface Exit {
  readonly label: string;
  readonly flow: SequenceFlow;
  /** Not taken in turn but whenever something happens: drawn with a broken line. */
  readonly standing?: boolean;
}

/** The body once, then the decision: `leave` downwards, `again` back up on the left. */
export interface LoopFlow {
  readonly kind: "loop";
  readonly head: FlowNode;
  readonly body: SequenceFlow;
  readonly decision: FlowNode;
  readonly again: string;
  readonly leave: string;
}

/** What stands elsewhere: one connector leads there, and where it comes back from there another leads on. */
export interface AwayFlow {
  readonly kind: "away";
  readonly out: FlowNode;
  readonly back?: FlowNode;
}

/** What several people do at the same time, between two bars. */
export interface LanesFlow {
  readonly kind: "lanes";
  readonly fork: FlowNode;
  readonly join: FlowNode;
  readonly lanes: readonly { readonly title: string; readonly flow: SequenceFlow }[];
  readonly meetings: readonly Meeting[];
  /** Goes on from an earlier page: there is no bar above, each lane begins with a connector. */
  readonly resumed?: boolean;
  /** One of the lanes came to an end of all on an earlier page. */
  readonly ended?: boolean;
}

/** A step of one lane that waits for a step of another; both by the ids of their nodes. */
export interface Meeting {
  readonly from: string;
  readonly to: string;
}

/**
 * Symbols after ISO 5807: terminator, process, decision, predefined process, connector, parallel mode (`bar`); `joint` is
 * the point at which lines run together.
 */
export type Shape = "start" | "end" | "aside" | "process" | "decision" | "predefined" | "connector" | "bar" | "joint";

export interface FlowNode {
  /** Unique in the chart: the step's name, with a suffix where a step has several shapes. */
  readonly id: string;
  readonly shape: Shape;
  /** The printed number of the step; empty where the shape is none. */
  readonly number: string;
  /** Who does it and for which ships, above the text. */
  readonly head: string;
  /** Paragraphs. */
  readonly text: readonly string[];
  /** Beside the line that comes in: the title of a section that begins here. */
  readonly heading?: string;
  /** A heavy outline: a critical step, or one done from memory. */
  readonly heavy: boolean;
  /** A connector that leads to another page, and none on this one. */
  readonly leads?: boolean;
  /** A warning or caution that stands with it. */
  readonly alerts: readonly string[];
}

/** True where the flow can come out at its bottom end. */
export function goesOn(flow: Flow): boolean {
  switch (flow.kind) {
    case "node":
      return !ENDS.has(flow.node.shape) && !flow.node.leads;
    case "sequence":
      return flow.of.every(goesOn);
    case "fork":
      return goesOn(flow.down.flow) || flow.rights.some((exit) => !exit.standing && goesOn(exit.flow));
    case "loop":
      return goesOn(flow.body);
    case "lanes":
      return !flow.ended && flow.lanes.every((lane) => goesOn(lane.flow));
    case "away":
      return flow.back !== undefined;
    default:
      return unreachable(flow);
  }
}

const ENDS: ReadonlySet<Shape> = new Set(["end", "aside"]);

/** The flow with every connector changed. */
export function withConnectors(flow: SequenceFlow, change: (connector: FlowNode) => FlowNode): SequenceFlow {
  return { ...flow, of: flow.of.map((one) => changed(one, change)) };
}

function changed(flow: Flow, change: (connector: FlowNode) => FlowNode): Flow {
  const inside = (of: SequenceFlow) => withConnectors(of, change);
  switch (flow.kind) {
    case "node":
      return flow.node.shape === "connector" ? { ...flow, node: change(flow.node) } : flow;
    case "sequence":
      return inside(flow);
    case "fork":
      return {
        ...flow,
        down: { ...flow.down, flow: inside(flow.down.flow) },
        rights: flow.rights.map((right) => ({ ...right, flow: inside(right.flow) })),
      };
    case "loop":
      return { ...flow, body: inside(flow.body) };
    case "lanes":
      return { ...flow, lanes: flow.lanes.map((lane) => ({ ...lane, flow: inside(lane.flow) })) };
    case "away":
      return { ...flow, out: change(flow.out), ...(flow.back ? { back: change(flow.back) } : {}) };
    default:
      return unreachable(flow);
  }
}
