import { unreachable } from "../../invariant.js";
import type { Procedure } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";
import { type Flow, type FlowNode, goesOn, type LanesFlow, type SequenceFlow } from "./flow.js";
import { procedureFlow } from "./flowchart.js";

/**
 * The flowchart as Mermaid text, for a page that renders it: the same shapes, ways and words, laid out by others. Where lines
 * run together there is no shape. `note`: lines that stand in it as comments, the cautions among them.
 */
export function flowchartMermaid(program: Program, procedure: Procedure, note: readonly string[]): string {
  const writer = new Writer();
  writer.sequence(procedureFlow(program, procedure), []);
  return [
    "---",
    `title: ${JSON.stringify(`${procedure.title}, flowchart`)}`,
    "---",
    "flowchart TD",
    ...note.map((line) => `  %% ${line.replace(/[\r\n{}]+/g, " ")}`),
    ...writer.lines.map((line) => `  ${line}`),
    ...(writer.heavy.length > 0
      ? [`  classDef heavy stroke-width:3px`, `  class ${writer.heavy.join(",")} heavy`]
      : []),
    "",
  ].join("\n");
}

/** A line that leaves a shape and has not yet come to another. */
interface Loose {
  readonly from: string;
  readonly label: string;
}

class Writer {
  readonly lines: string[] = [];
  readonly heavy: string[] = [];
  private readonly ids = new Map<string, string>();

  /** Writes the shapes in order, the first reached from `before`; gives back what leaves the last. */
  sequence(flow: SequenceFlow, before: readonly Loose[]): readonly Loose[] {
    return flow.of.reduce<readonly Loose[]>((loose, one) => this.flow(one, loose), before);
  }

  private flow(flow: Flow, before: readonly Loose[]): readonly Loose[] {
    switch (flow.kind) {
      case "sequence":
        return this.sequence(flow, before);
      case "node": {
        const id = this.reach(flow.node, before);
        return goesOn(flow) ? [{ from: id, label: "" }] : [];
      }
      case "fork": {
        const from = this.reach(flow.decision, before);
        const exits = [flow.down, ...flow.rights.filter((right) => !right.standing)];
        const after = exits.flatMap((exit) => this.sequence(exit.flow, [{ from, label: exit.label }]));
        for (const right of flow.rights.filter((one) => one.standing)) this.standing(right.flow, from, right.label);
        return after;
      }
      case "loop":
        return this.loop(flow, before);
      case "lanes":
        return this.lanes(flow, before);
      case "away":
        return before;
      default:
        return unreachable(flow);
    }
  }

  private loop(flow: Flow & { kind: "loop" }, before: readonly Loose[]): readonly Loose[] {
    const head = this.reach(flow.head, before);
    const round = this.sequence(flow.body, [{ from: head, label: "" }]);
    const from = this.reach(flow.decision, round);
    this.lines.push(edge(from, head, flow.again));
    return [{ from, label: flow.leave }];
  }

  private lanes(flow: LanesFlow, before: readonly Loose[]): readonly Loose[] {
    const fork = this.reach(flow.fork, before);
    const ends = flow.lanes.flatMap((lane) => {
      this.lines.push(
        `subgraph ${this.idOf(`${flow.fork.id} ${lane.title}`)}[${quoted([lane.title])}]`,
        "direction TB",
      );
      const inside = this.sequence(lane.flow, [{ from: fork, label: "" }]);
      this.lines.push("end");
      return inside;
    });
    for (const meeting of flow.meetings) {
      const [from, to] = [this.ids.get(meeting.from), this.ids.get(meeting.to)];
      if (from && to) this.lines.push(`${from} -.-> ${to}`);
    }
    if (ends.length === 0) return [];
    const join = this.reach(flow.join, ends);
    return goesOn(flow) ? [{ from: join, label: "" }] : [];
  }

  private standing(flow: SequenceFlow, from: string, label: string): void {
    const mark = this.lines.length;
    this.sequence(flow, [{ from, label }]);
    const first = this.lines.findIndex((line, index) => index >= mark && line.startsWith(`${from} -->`));
    const line = this.lines[first];
    if (line) this.lines[first] = line.replace("-->", "-.->");
  }

  /** Declares a shape, and the lines that come to it. */
  private reach(node: FlowNode, before: readonly Loose[]): string {
    const id = this.idOf(node.id);
    this.lines.push(`${id}${shaped(node)}`);
    for (const { from, label } of before) this.lines.push(edge(from, id, label));
    if (node.heavy || node.shape === "aside") this.heavy.push(id);
    return id;
  }

  private idOf(name: string): string {
    const known = this.ids.get(name) ?? `n${this.ids.size + 1}`;
    this.ids.set(name, known);
    return known;
  }
}

function edge(from: string, to: string, label: string): string {
  return label === "" ? `${from} --> ${to}` : `${from} -->|${quoted([label])}| ${to}`;
}

function shaped(node: FlowNode): string {
  const first = [node.number, node.head].filter(Boolean).join(" · ");
  const text = quoted([
    ...(node.heading ? [node.heading] : []),
    ...node.alerts,
    ...(first ? [first] : []),
    ...node.text,
  ]);
  switch (node.shape) {
    case "start":
    case "end":
    case "aside":
      return `([${text}])`;
    case "process":
      return `[${text}]`;
    case "decision":
      return `{${text}}`;
    case "predefined":
      return `[[${text}]]`;
    case "connector":
      return `((${text}))`;
    case "joint":
      return `(( ))`;
    case "bar":
      return `[" "]`;
    default:
      return unreachable(node.shape);
  }
}

/** In quotes, with what means something to Mermaid or to HTML as entities by number. */
export function quoted(paragraphs: readonly string[]): string {
  const plain = (text: string) => text.replace(/[#"<>&`\\|[\]{}\r\n]/g, (character) => `#${character.codePointAt(0)};`);
  return `"${paragraphs.map(plain).join("<br>")}"`;
}
