import { unreachable } from "../invariant.js";
import type { Procedure } from "../program/procedure.js";
import type { Program } from "../program/program.js";
import type { Sheet } from "./drawing/frame.js";
import type { Drawing } from "./drawing/marks.js";
import type { Measure } from "./drawing/measure.js";
import type { SvgOptions } from "./drawing/svg.js";
import { flowchartSvg } from "./flowchart/flowchart.js";
import { flowchartMermaid } from "./flowchart/mermaid.js";
import { flowchartPages } from "./flowchart/pages.js";
import { dependencyPages, dependencySvg } from "./graph/drawing.js";
import { dependencyMermaid } from "./graph/mermaid.js";
import type { Reliances } from "./graph/reliance.js";
import { panelMapPages, panelMapSvg } from "./map/map.js";
import { lightTablePages, lightTableSvg } from "./table/lights-drawing.js";
import { lightTableHtml } from "./table/lights-html.js";

/**
 * The pictures of a procedure that can be asked for by name, in the order in which they are written. `mermaid`: the flowchart as
 * Mermaid text, and so the graph where that is asked for too.
 */
export const DIAGRAMS = ["flowchart", "map", "lights", "graph", "mermaid"] as const;

export type Diagram = (typeof DIAGRAMS)[number];

export interface DiagramOptions extends SvgOptions {
  readonly measure: Measure;
  /** Lines that stand on every picture. */
  readonly cautions: readonly string[];
  readonly draft?: boolean;
  /** `@font-face` rules for the HTML of the light table. */
  readonly fontStyle?: string;
  /** What relies on what, from the prover; without it there is no graph. */
  readonly reliances?: Reliances;
}

/** A file of a picture; `ending` comes after the name of the procedure. */
export interface DiagramFile {
  readonly diagram: Diagram;
  /** For a list of links: `map`, `lights (page)`. */
  readonly label: string;
  readonly ending: string;
  readonly content: string;
}

/** The pictures as files, each as large as it needs to be. A procedure that looks at no lights has no light table, one in which nothing relies on anything no graph. */
export async function diagramFiles(
  program: Program,
  procedure: Procedure,
  diagrams: readonly Diagram[],
  options: DiagramOptions,
): Promise<readonly DiagramFile[]> {
  const files: DiagramFile[] = [];
  for (const diagram of diagrams) files.push(...(await filesOf(diagram, program, procedure, diagrams, options)));
  return files;
}

async function filesOf(
  diagram: Diagram,
  program: Program,
  procedure: Procedure,
  diagrams: readonly Diagram[],
  options: DiagramOptions,
): Promise<readonly DiagramFile[]> {
  const { reliances, cautions } = options;
  const file = (ending: string, content: string | undefined, label: string = diagram): readonly DiagramFile[] =>
    content === undefined ? [] : [{ diagram, label, ending, content }];
  switch (diagram) {
    case "flowchart":
      return file(".flowchart.svg", flowchartSvg(program, procedure, options));
    case "map":
      return file(".map.svg", panelMapSvg(program, procedure, options));
    case "lights":
      return [
        ...file(".lights.svg", lightTableSvg(program, procedure, options)),
        ...file(".lights.html", lightTableHtml(program, procedure, options), "lights (page)"),
      ];
    case "graph":
      return file(".graph.svg", reliances && (await dependencySvg(program, procedure, reliances, options)));
    case "mermaid": {
      const graph = diagrams.includes("graph") ? reliances : undefined;
      return [
        ...file(".flowchart.mmd", flowchartMermaid(program, procedure, cautions), "flowchart (Mermaid)"),
        ...file(".graph.mmd", graph && dependencyMermaid(program, procedure, graph, cautions), "graph (Mermaid)"),
      ];
    }
    default:
      return unreachable(diagram);
  }
}

export interface SheetOptions extends DiagramOptions {
  readonly paper: Sheet;
  /** Type in points, no smaller than the reading distance allows; 10 where not given. */
  readonly size?: number;
}

/** The same pictures on sheets of one size, for the book; Mermaid text is none. */
export async function diagramPages(
  program: Program,
  procedure: Procedure,
  diagrams: readonly Diagram[],
  options: SheetOptions,
): Promise<readonly Drawing[]> {
  const pages: Drawing[] = [];
  for (const diagram of diagrams) pages.push(...(await sheetsOf(diagram, program, procedure, options)));
  return pages;
}

async function sheetsOf(
  diagram: Diagram,
  program: Program,
  procedure: Procedure,
  options: SheetOptions,
): Promise<readonly Drawing[]> {
  switch (diagram) {
    case "flowchart":
      return flowchartPages(program, procedure, options);
    case "map":
      return panelMapPages(program, procedure, options);
    case "lights":
      return lightTablePages(program, procedure, options);
    case "graph":
      return options.reliances ? await dependencyPages(program, procedure, options.reliances, options) : [];
    case "mermaid":
      return [];
    default:
      return unreachable(diagram);
  }
}
