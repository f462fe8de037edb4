import { INK, type Mark, QUIET } from "../drawing/marks.js";
import type { Measure } from "../drawing/measure.js";
import { type Badge, badgeMarks, diamond } from "./badge.js";
import { badgesAt } from "./badges.js";
import { type Cell, cellsOf } from "./cell.js";
import { glyphMarks, PANEL, plateOf, wordsBox } from "./glyph.js";
import type { Ground } from "./ground.js";
import { legMarks, stub } from "./leg-marks.js";
import { type DrawnLeg, drawLeg, type LegStyle } from "./legs.js";
import type { Box } from "./near.js";
import type { Path } from "./path.js";
import type { Spot } from "./site.js";
import type { Stop } from "./stops.js";

export interface Look {
  readonly measure: Measure;
  readonly size: number;
  /** Points in a millimetre. */
  readonly scale: number;
}

/** Line and dashes of each person's way, by their order; a fifth begins anew. */
const WAYS = [
  { colour: "#0046c8" },
  { colour: "#8a3c00", dash: [6, 2.5] },
  { colour: "#006b3c", dash: [1.5, 2] },
  { colour: "#6a1b8a", dash: [8, 2, 1.5, 2] },
] as const;

/** The marks of a ground, or of a part of it: what a way does off it is told by short stubs. */
export function paint(ground: Ground, paths: readonly Path[], look: Look): readonly Mark[] {
  return new Painter(ground, paths, look).marks();
}

class Painter {
  private readonly cells: ReadonlyMap<string, Cell>;
  private readonly stops: readonly Stop[];
  private readonly badges: ReadonlyMap<Stop, Badge>;
  /** Where each thing that is gone to is left, in order. */
  private readonly positions = new Map<string, Set<string>>();

  constructor(
    private readonly ground: Ground,
    private readonly paths: readonly Path[],
    private readonly look: Look,
  ) {
    this.cells = cellsOf([...ground.spots.values()], ground.panels);
    this.stops = paths.flatMap((path) => [...path.stops]);
    this.badges = badgesAt(this.stops, ground.spots, this.cells, look);
    for (const { thing, position } of this.stops) {
      const known = this.positions.get(thing) ?? new Set();
      this.positions.set(thing, position === undefined ? known : known.add(position));
    }
  }

  /** What the procedure does not touch lies under its way; what it touches is kept clear of it. */
  marks(): readonly Mark[] {
    return [
      ...this.panels(),
      ...this.glyphs(false),
      ...legMarks(this.legs(), this.look.size),
      ...this.glyphs(true),
      ...this.stubs(),
      ...this.seen(),
      ...[...this.badges.values()].map((badge) => badgeGroup(badge, this.ground, this.look.size)),
    ];
  }

  private panels(): readonly Mark[] {
    const { size, scale } = this.look;
    const titled = this.ground.areas.filter((area) => area.title !== "");
    const areas = titled.map((area): Mark => {
      const [x, y] = [area.x * scale, (area.y - 2) * scale];
      return { kind: "text", x, y, text: area.title, face: "italic", size: 1.1 * size, anchor: "start", fill: QUIET };
    });
    return [...areas, ...this.ground.panels.flatMap((panel) => panelMarks(panel, this.look))];
  }

  private glyphs(touched: boolean): readonly Mark[] {
    const used = new Set(this.stops.flatMap((stop) => [stop.thing, ...stop.others]));
    const drawn = [...this.ground.spots.values()].filter((spot) => used.has(spot.id) === touched);
    return drawn.map((spot) => {
      const marks = glyphMarks(spot, this.cellOf(spot.id), this.styleOf(spot, touched));
      return { kind: "group", title: spot.name, marks };
    });
  }

  private styleOf(spot: Spot, used: boolean) {
    const positions = this.positions.get(spot.id);
    return { ...this.look, used, badged: positions !== undefined, positions: [...(positions ?? [])] };
  }

  private legs(): readonly DrawnLeg[] {
    const used: DrawnLeg[] = [];
    const words = this.words();
    this.eachLeg((from, to, style) => {
      const [a, b] = [this.badges.get(from), this.badges.get(to)];
      if (a && b) used.push(drawLeg(a, b, { badges: [...this.badges.values()], words, used }, style));
    });
    return used;
  }

  /** Where the words of what the way comes to stand. */
  private words(): readonly Box[] {
    return [...this.badges.values()].flatMap(({ stop }) => {
      const spot = this.ground.spots.get(stop.thing);
      return spot ? wordsBox(spot, this.cellOf(spot.id), this.styleOf(spot, true)) : [];
    });
  }

  private stubs(): readonly Mark[] {
    const marks: Mark[] = [];
    const words = this.words();
    const stubs: Box[] = [];
    const draw = (badge: Badge, towards: Stop, leaving: boolean, style: LegStyle) => {
      const badges = [...this.badges.values()].flatMap((other) => (other === badge ? [] : [boxOf(other)]));
      const taken = [...words, ...badges, ...stubs];
      const drawn = stub(badge, this.whereIs(towards), { leaving, number: towards.number, style, taken });
      marks.push(...drawn.marks);
      stubs.push(drawn.box);
    };
    this.eachLeg((from, to, style) => {
      const [a, b] = [this.badges.get(from), this.badges.get(to)];
      if (a && !b) draw(a, to, true, style);
      if (b && !a) draw(b, from, false, style);
    });
    return marks;
  }

  private whereIs(stop: Stop): { readonly x: number; readonly y: number } {
    const spot = this.ground.places.get(stop.thing)?.spot;
    return { x: (spot?.x ?? 0) * this.look.scale, y: (spot?.y ?? 0) * this.look.scale };
  }

  private eachLeg(visit: (from: Stop, to: Stop, style: LegStyle) => void): void {
    this.paths.forEach((path, index) => {
      const style = { ...(WAYS[index % WAYS.length] ?? WAYS[0]), size: this.look.size };
      path.stops.forEach((stop, at) => {
        const before = path.stops[at - 1];
        if (before) visit(before, stop, style);
      });
    });
  }

  /** A small diamond at each light that is looked at together with another. */
  private seen(): readonly Mark[] {
    const { size, scale } = this.look;
    const others = new Set(this.stops.flatMap((stop) => stop.others));
    return [...others].flatMap((id) => {
      const spot = this.ground.spots.get(id);
      if (!spot) return [];
      const plate = plateOf(this.cellOf(id));
      const [dx, dy] = spot.kind === "light" ? [plate.half, plate.high] : [3, 3];
      const pen = { fill: "#ffffff", stroke: INK, weight: 0.09 * size };
      return [diamond((spot.x - dx) * scale, (spot.y - dy) * scale, 0.9 * size, 0.9 * size, pen)];
    });
  }

  private cellOf(id: string): Cell {
    return this.cells.get(id) ?? { half: 6, up: 4, down: 6 };
  }
}

function boxOf({ x, y, width, height }: Badge): Box {
  return { x0: x - width / 2, y0: y - height / 2, x1: x + width / 2, y1: y + height / 2 };
}

function panelMarks(panel: Ground["panels"][number], look: Look): readonly Mark[] {
  const { scale, size } = look;
  const [x, y, width, height] = [panel.x * scale, panel.y * scale, panel.width * scale, panel.height * scale];
  const title = Math.min(size, 4.2 * scale);
  return [
    { kind: "rect", x, y, width, height, fill: PANEL, stroke: INK, weight: 0.1 * size, radius: 2.5 * scale },
    {
      kind: "text",
      x: x + 2.5 * scale,
      y: y + 1.2 * title,
      text: panel.title,
      face: "bold",
      size: title,
      anchor: "start",
      fill: INK,
    },
  ];
}

function badgeGroup(badge: Badge, ground: Ground, size: number): Mark {
  const { stop } = badge;
  const name = ground.spots.get(stop.thing)?.name ?? stop.thing;
  const what = { set: "set", verify: "made sure of", check: "looked at", observe: "lights observed" }[stop.act];
  const title = `Step ${stop.number}, ${what}: ${name}${stop.position ? ` ${stop.position}` : ""}`;
  return { kind: "group", title, marks: badgeMarks(badge, 0.8 * size) };
}
