import { invariant } from "../../invariant.js";
import type { Procedure } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";
import type { System } from "../../program/system.js";
import { type Frame, framed, roomInside, type Sheet } from "../drawing/frame.js";
import type { Drawing } from "../drawing/marks.js";
import type { Measure } from "../drawing/measure.js";
import { type SvgOptions, svgOf } from "../drawing/svg.js";
import { revisionOf } from "../flowchart/frame.js";
import { type Ground, groundOf, partOf } from "./ground.js";
import { paint } from "./paint.js";
import { type Path, pathsOf, type Whereabouts } from "./path.js";
import { type Stop, stopsOf } from "./stops.js";
import { keyLines, pathLines } from "./words.js";

export interface PanelMapOptions extends SvgOptions {
  readonly measure: Measure;
  /** Type size in points; 10 where not given. */
  readonly size?: number;
  /** DRAFT goes across it. */
  readonly draft?: boolean;
  readonly cautions: readonly string[];
}

/** Points in a millimetre at life size. */
const LIFE = 72 / 25.4;

/** The panels in life size with everything on them, and over them the numbered way of hand and eye, as SVG. */
export function panelMapSvg(program: Program, procedure: Procedure, options: PanelMapOptions): string {
  return svgOf(panelMapDrawing(program, procedure, options), options);
}

/** The same as marks. */
export function panelMapDrawing(program: Program, procedure: Procedure, options: PanelMapOptions): Drawing {
  const { ground, paths } = surveyed(program, procedure);
  const frame = frameOf(procedure, paths, options);
  const marks = paint(ground, paths, { measure: options.measure, size: frame.size, scale: LIFE });
  return framed(frame, { marks, width: ground.width * LIFE, height: ground.height * LIFE });
}

/** On sheets of one size: all on one where it stays readable, else the panels that are gone to, a part of them on each. */
export function panelMapPages(
  program: Program,
  procedure: Procedure,
  options: PanelMapOptions & { readonly paper: Sheet },
): readonly Drawing[] {
  const { ground, paths } = surveyed(program, procedure);
  const frame = { ...frameOf(procedure, paths, options), paper: options.paper };
  const room = roomInside({ ...frame, subtitle: `${frame.subtitle} · sheet 8 of 8` });
  const parts = split(ground, paths, room);
  return parts.map((part, index) => {
    const scale = scaleOf(part, room);
    const size = Math.min(frame.size, Math.max(LEAST, (frame.size * 1.35 * scale) / LIFE));
    const sheet = parts.length > 1 ? ` · sheet ${index + 1} of ${parts.length}` : "";
    const named = { ...frame, id: `${frame.id}-${index + 1}`, subtitle: `${frame.subtitle}${sheet}` };
    const marks = paint(part, paths, { measure: options.measure, size, scale });
    return framed(named, { marks, width: part.width * scale, height: part.height * scale });
  });
}

/** The ways that the map draws, with their lengths, for those who compare them. */
export function panelPaths(program: Program, procedure: Procedure): readonly Path[] {
  return surveyed(program, procedure).paths;
}

/** The stops of the main line, and where everything is: for those who look for another order. */
export function panelSurvey(
  program: Program,
  procedure: Procedure,
): { readonly stops: readonly Stop[]; readonly places: ReadonlyMap<string, Whereabouts> } {
  const system = systemOf(program, procedure);
  const { spots, places } = groundOf(system);
  return { stops: stopsOf(system, procedure, spots), places };
}

function surveyed(
  program: Program,
  procedure: Procedure,
): { readonly ground: Ground; readonly paths: readonly Path[] } {
  const ground = groundOf(systemOf(program, procedure));
  const stops = stopsOf(systemOf(program, procedure), procedure, ground.spots);
  return { ground, paths: pathsOf(stops, ground.places) };
}

function systemOf(program: Program, procedure: Procedure): System {
  const system = program.systems.get(procedure.system);
  invariant(system, `procedure ${procedure.id} has no system`);
  return system;
}

function frameOf(procedure: Procedure, paths: readonly Path[], options: PanelMapOptions): Frame {
  const ways = pathLines(paths, procedure);
  return {
    id: `panel-map-${procedure.id}`,
    title: procedure.title,
    subtitle: `Panel map · ${revisionOf(procedure)}`,
    description: `The panels as they are, with the way of hand and eye through ${procedure.title}. ${ways.join(" ")}`,
    keys: [...ways, ...keyLines(paths)],
    cautions: options.cautions,
    ...(options.draft ? { draft: true } : {}),
    measure: options.measure,
    size: options.size ?? 10,
  };
}

/** Of life size; smaller than this the names on panels are hard to read in the hand. Our own limit, no published source. */
const READABLE = 0.5;
/** Type never gets smaller than this, in points. */
const LEAST = 6.5;

interface Room {
  readonly width: number;
  readonly height: number;
}

function scaleOf(ground: Ground, room: Room): number {
  return Math.min(LIFE, room.width / ground.width, room.height / ground.height);
}

/** First by areas, then each part across its longer side, until it is readable or a single panel. */
function split(ground: Ground, paths: readonly Path[], room: Room): readonly Ground[] {
  if (ground.panels.length < 2 || scaleOf(ground, room) >= READABLE * LIFE) return [ground];
  const visited = new Set(paths.flatMap((path) => path.stops.flatMap((stop) => [stop.thing, ...stop.others])));
  const panels = ground.panels.filter((panel) =>
    [...ground.places.values()].some(
      ({ spot, area }) => visited.has(spot.id) && spot.panel === panel.id && area === panel.area,
    ),
  );
  const areas = [...new Set(panels.map((panel) => panel.area))];
  const parts = areas.flatMap((area) =>
    halved(
      ground,
      panels.filter((panel) => panel.area === area),
      room,
    ),
  );
  return parts.length > 0 ? parts : [ground];
}

function halved(ground: Ground, panels: Ground["panels"], room: Room): readonly Ground[] {
  const part = partOf(ground, panels);
  if (panels.length < 2 || scaleOf(part, room) >= READABLE * LIFE) return [part];
  const wide = part.width / room.width > part.height / room.height;
  const sorted = panels.toSorted((a, b) =>
    wide ? a.x + a.width / 2 - b.x - b.width / 2 : a.y + a.height / 2 - b.y - b.height / 2,
  );
  const middle = Math.ceil(sorted.length / 2);
  return [...halved(ground, sorted.slice(0, middle), room), ...halved(ground, sorted.slice(middle), room)];
}
