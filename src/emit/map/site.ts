import type { Colour, System } from "../../program/system.js";
import { nameOf } from "../card/names.js";

/** A thing at its place; millimetres from the top left corner of its area. */
export interface Spot {
  readonly id: string;
  readonly name: string;
  readonly kind: "control" | "light" | "gauge";
  readonly panel: string;
  readonly x: number;
  readonly y: number;
  readonly colour?: Colour;
  readonly sound: boolean;
  /** A cover stands over the control. */
  readonly guarded: boolean;
}

/** A panel where it is; millimetres, in its area. */
export interface PanelBox {
  readonly id: string;
  readonly title: string;
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

/** Panels that share one set of measures: what lies in different areas is walked to, not reached for. */
export interface Area {
  readonly title: string;
  readonly panels: readonly PanelBox[];
  readonly spots: readonly Spot[];
  /** No places are given: things stand in rows, and lengths mean nothing. */
  readonly schematic: boolean;
}

/** The system as a map. A panel without a place, or with a thing on it that has none, is drawn in an area without measures. */
export function areasOf(system: System): readonly Area[] {
  const items = itemsOf(system);
  const panels = panelsOf(system, items);
  const placed = panels.filter((panel) => isPlaced(panel));
  const areas = new Map<string, PlacedPanel[]>();
  for (const panel of placed) areas.set(panel.area, [...(areas.get(panel.area) ?? []), panel]);
  const measured = [...areas].map(([title, inside]) => measuredArea(title, inside));
  const rest = panels.filter((panel) => !isPlaced(panel));
  return rest.length === 0 ? measured : [...measured, schematicArea(rest, measured.length > 0)];
}

/** The place of a guard is that of its control, of a light in a control that of the control. */
export function placeHolder(system: System, id: string): string {
  const guarded = system.controls.get(id)?.guards?.control;
  return guarded ?? system.lights.get(id)?.in ?? id;
}

interface Item extends Omit<Spot, "x" | "y"> {
  readonly at?: readonly [number, number];
}

interface PanelItems {
  readonly id: string;
  readonly title: string;
  readonly area: string;
  readonly at?: readonly [number, number];
  readonly size?: readonly [number, number];
  readonly items: readonly Item[];
}

type PlacedPanel = PanelItems & { readonly at: readonly [number, number]; readonly size: readonly [number, number] };

/** A sound without a place is heard everywhere, and stands nowhere. Lights first, then gauges, then controls, each in declared order: the order of the rows where no places are given. */
function itemsOf(system: System): readonly Item[] {
  const lights = [...system.lights.values()].filter((light) => light.in === undefined && !(light.sound && !light.at));
  const controls = [...system.controls.values()].filter((control) => control.guards === undefined);
  const common = (thing: { id: string; panel?: string; at?: readonly [number, number] }) => ({
    id: thing.id,
    name: nameOf(system, thing.id),
    panel: thing.panel ?? "",
    ...(thing.at ? { at: thing.at } : {}),
  });
  return [
    ...lights.map(
      (light): Item => ({
        ...common(light),
        kind: "light",
        sound: light.sound,
        guarded: false,
        ...(light.colour ? { colour: light.colour } : {}),
      }),
    ),
    ...[...system.gauges.values()].map(
      (gauge): Item => ({ ...common(gauge), kind: "gauge", sound: false, guarded: false }),
    ),
    ...controls.map(
      (control): Item => ({ ...common(control), kind: "control", sound: false, guarded: control.guard !== undefined }),
    ),
  ];
}

function panelsOf(system: System, items: readonly Item[]): readonly PanelItems[] {
  const declared = [...system.panels.values()].map(
    (panel): PanelItems => ({
      id: panel.id,
      title: panel.title,
      area: panel.area ?? "",
      items: items.filter((item) => item.panel === panel.id),
      ...(panel.at ? { at: panel.at } : {}),
      ...(panel.size ? { size: panel.size } : {}),
    }),
  );
  const homeless = items.filter((item) => !system.panels.has(item.panel));
  const rest: PanelItems = {
    id: "",
    title: declared.length > 0 ? "ELSEWHERE" : system.title,
    area: "",
    items: homeless,
  };
  return [...declared, ...(homeless.length > 0 ? [rest] : [])].filter((panel) => panel.items.length > 0);
}

function isPlaced(panel: PanelItems): panel is PlacedPanel {
  return panel.at !== undefined && panel.size !== undefined && panel.items.some((item) => item.at !== undefined);
}

function measuredArea(title: string, panels: readonly PlacedPanel[]): Area {
  const x0 = Math.min(...panels.map((panel) => panel.at[0]));
  const y0 = Math.min(...panels.map((panel) => panel.at[1]));
  const boxes = panels.map(
    (panel): PanelBox => ({
      id: panel.id,
      title: panel.title,
      x: panel.at[0] - x0,
      y: panel.at[1] - y0,
      width: panel.size[0],
      height: panel.size[1],
    }),
  );
  const spots = panels.flatMap((panel, index) => spotsOn(panel, boxes[index] as PanelBox));
  return { title, panels: boxes, spots, schematic: false };
}

/** Things at their places; those without one in a row along the lower edge, and one placed where another is beside it, so that none is lost. */
function spotsOn(panel: PlacedPanel, box: PanelBox): readonly Spot[] {
  const lost = panel.items.filter((item) => item.at === undefined);
  const taken = new Map<string, readonly [number, number]>();
  return panel.items.map((item) => {
    const { at, ...rest } = item;
    const row = lost.indexOf(item);
    const wanted = at ?? [((row + 0.5) * box.width) / lost.length, box.height - 6];
    const [x, y] = besideOthers(wanted, taken, box);
    taken.set(`${x} ${y}`, [x, y]);
    return { ...rest, x: box.x + x, y: box.y + y };
  });
}

/** The place itself where nothing is there yet; else the nearest to the right of it, or to the left, that is free and on the panel. */
function besideOthers(
  [x, y]: readonly [number, number],
  taken: ReadonlyMap<string, readonly [number, number]>,
  { width }: PanelBox,
): readonly [number, number] {
  if (!taken.has(`${x} ${y}`)) return [x, y];
  const isFree = (at: number) =>
    [...taken.values()].every((other) => other[1] !== y || Math.abs(other[0] - at) >= BESIDE);
  const steps = Array.from({ length: taken.size }, (_, index) => (index + 1) * BESIDE);
  const all = steps.flatMap((step) => [x + step, x - step]).filter(isFree);
  return [all.find((at) => at >= 0 && at <= width) ?? all[0] ?? x + BESIDE, y];
}

/** In millimetres: so far apart two handles can be told from each other. */
const BESIDE = 20;

const CELL = { width: 32, height: 26, head: 12, gap: 8 } as const;

/** Rows of at most eight, panels side by side up to about the width of a sheet. */
function schematicArea(panels: readonly PanelItems[], besides: boolean): Area {
  const boxes: PanelBox[] = [];
  const spots: Spot[] = [];
  let x = 0;
  let y = 0;
  let shelf = 0;
  for (const panel of panels) {
    const columns = Math.min(8, Math.max(2, Math.ceil(Math.sqrt(panel.items.length * 1.4))));
    const width = columns * CELL.width;
    const height = CELL.head + Math.ceil(panel.items.length / columns) * CELL.height;
    if (x > 0 && x + width > 16 * CELL.width) {
      x = 0;
      y += shelf + CELL.gap;
      shelf = 0;
    }
    boxes.push({ id: panel.id, title: panel.title, x, y, width, height });
    panel.items.forEach(({ at: _, ...item }, index) => {
      const [column, row] = [index % columns, Math.floor(index / columns)];
      spots.push({ ...item, x: x + (column + 0.5) * CELL.width, y: y + CELL.head + (row + 0.35) * CELL.height });
    });
    x += width + CELL.gap;
    shelf = Math.max(shelf, height);
  }
  return { title: besides ? "no places given" : "", panels: boxes, spots, schematic: true };
}
