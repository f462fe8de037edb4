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
import { panelMapPages, panelMapSvg } from "./map/map.js";
import { lightTablePages, lightTableSvg } from "./table/lights-drawing.js";
import { lightTableHtml } from "./table/lights-html.js";

/** The pictures of a procedure that can be asked for by name. */
export const DIAGRAMS = ["flowchart", "map", "lights"] as const;

export type Diagram = (typeof DIAGRAMS)[number];

export interface DiagramOptions extends SvgOptions {
  readonly measure: Measure;
  /** Lines that stand on every picture. */
  readonly cautions: readonly string[];
  readonly draft?: boolean;
  /** `@font-face` rules for the HTML of the light table. */
  readonly fontStyle?: string;
}

/** A file of a picture; `ending` comes after the name of the procedure. */
export interface DiagramFile {
  readonly diagram: Diagram;
  readonly ending: string;
  readonly content: string;
}

/** The pictures as files, each as large as it needs to be. A procedure that looks at no lights has no light table. */
export function diagramFiles(
  program: Program,
  procedure: Procedure,
  diagrams: readonly Diagram[],
  options: DiagramOptions,
): readonly DiagramFile[] {
  return diagrams.flatMap((diagram) => filesOf(diagram, program, procedure, options));
}

function filesOf(
  diagram: Diagram,
  program: Program,
  procedure: Procedure,
  options: DiagramOptions,
): readonly DiagramFile[] {
  const file = (ending: string, content: string | undefined): readonly DiagramFile[] =>
    content === undefined ? [] : [{ diagram, ending, content }];
  switch (diagram) {
    case "flowchart":
      return [
        ...file(".flowchart.svg", flowchartSvg(program, procedure, options)),
        ...file(".flowchart.mmd", flowchartMermaid(program, procedure, options.cautions)),
      ];
    case "map":
      return file(".map.svg", panelMapSvg(program, procedure, options));
    case "lights":
      return [
        ...file(".lights.svg", lightTableSvg(program, procedure, options)),
        ...file(".lights.html", lightTableHtml(program, procedure, options)),
      ];
    default:
      return unreachable(diagram);
  }
}

export interface SheetOptions extends DiagramOptions {
  readonly paper: Sheet;
  /** Type in points, no smaller than the reading distance allows; 10 where not given. */
  readonly size?: number;
}

/** The same pictures on sheets of one size, for the book. */
export function diagramPages(
  program: Program,
  procedure: Procedure,
  diagrams: readonly Diagram[],
  options: SheetOptions,
): readonly Drawing[] {
  return diagrams.flatMap((diagram) => sheetsOf(diagram, program, procedure, options));
}

function sheetsOf(diagram: Diagram, program: Program, procedure: Procedure, options: SheetOptions): readonly Drawing[] {
  switch (diagram) {
    case "flowchart":
      return flowchartPages(program, procedure, options);
    case "map":
      return panelMapPages(program, procedure, options);
    case "lights":
      return lightTablePages(program, procedure, options);
    default:
      return unreachable(diagram);
  }
}
