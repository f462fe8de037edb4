import type { Procedure } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";
import { quoted } from "../flowchart/mermaid.js";
import { type GraphNode, graphOf, type Reliances } from "./reliance.js";

/** The same graph as Mermaid text; undefined where nothing relies on anything. `note`: lines that stand in it as comments. */
export function dependencyMermaid(
  program: Program,
  procedure: Procedure,
  reliances: Reliances,
  note: readonly string[],
): string | undefined {
  const graph = graphOf(program, procedure, reliances);
  if (graph.edges.length === 0) return undefined;
  const ids = new Map(graph.nodes.map((node, index) => [node.id, `n${index + 1}`]));
  return [
    "---",
    `title: ${JSON.stringify(`${procedure.title}, what relies on what`)}`,
    "---",
    "flowchart TD",
    ...note.map((line) => `  %% ${line.replace(/[\r\n{}]+/g, " ")}`),
    ...graph.nodes.map((node) => `  ${ids.get(node.id)}${shaped(node)}`),
    ...graph.edges.map(({ from, to }) => `  ${ids.get(from)} --> ${ids.get(to)}`),
    "",
  ].join("\n");
}

function shaped(node: GraphNode): string {
  const text = quoted([...(node.number ? [node.number] : []), ...node.text]);
  if (node.kind === "step") return `[${text}]`;
  return node.kind === "rule" ? `[[${text}]]` : `([${text}])`;
}
