import type { Point } from "../../../src/emit/drawing/marks.js";
import type { Measure } from "../../../src/emit/drawing/measure.js";
import type { Box, Label, Piece, Wire } from "../../../src/emit/flowchart/piece.js";
import type { Rect } from "../../../src/emit/flowchart/rect.js";

/** Everything that is wrong with how a chart is drawn, in words; empty for a good one. Lengths in points. */
export function faultsOf(chart: Piece, measure: Measure): readonly string[] {
  return [
    ...overlaps(chart),
    ...chart.wires.flatMap((wire) => [...wireFaults(wire, chart), ...endFaults(wire, chart)]),
    ...sharedLines(chart.wires),
    ...chart.boxes.flatMap((box) => textFaults(box, measure)),
    ...doubles(chart.boxes.map((box) => box.node.id)).map((id) => `two shapes are called ${id}`),
  ];
}

function overlaps(chart: Piece): string[] {
  const things = [
    ...chart.boxes.map((box) => ({ name: box.node.id, rect: rectOf(box) })),
    ...chart.labels.map((label) => ({ name: `label "${label.lines.join(" ")}"`, rect: label.rect })),
  ];
  return pairsThat(things, (a, b) => overlap(a.rect, b.rect)).map(([a, b]) => `${a.name} lies over ${b.name}`);
}

function wireFaults(wire: Wire, chart: Piece): string[] {
  const name = `line ${wire.from} -> ${wire.to}`;
  return segments(wire).flatMap(([a, b]) => {
    const slanted = a.x !== b.x && a.y !== b.y ? [`${name} is slanted`] : [];
    const through = chart.boxes
      .filter((box) => crosses(a, b, rectOf(box)))
      .map((box) => `${name} runs through ${box.node.id}`);
    const over = chart.labels
      .filter((label) => crosses(a, b, label.rect))
      .map((label) => `${name} runs through ${wordsOf(label)}`);
    return [...slanted, ...through, ...over];
  });
}

function endFaults(wire: Wire, chart: Piece): string[] {
  const box = (id: string) => chart.boxes.find((candidate) => candidate.node.id === id);
  return (
    [
      ["from", wire.points[0]],
      ["to", wire.points.at(-1)],
    ] as const
  ).flatMap(([end, point]) => {
    const shape = box(wire[end]);
    if (!shape || !point) return [`line ${wire.from} -> ${wire.to} has no shape at its ${end} end`];
    return onOutline(shape, point) ? [] : [`line ${wire.from} -> ${wire.to} ends beside ${wire[end]}`];
  });
}

/** On the outline: a corner of a decision, a straight side of the others. */
function onOutline(box: Box, point: Point): boolean {
  const near = (a: number, b: number) => Math.abs(a - b) < 0.01;
  const middleX = near(point.x, box.x);
  const middleY = near(point.y, box.y + box.height / 2);
  const level = near(point.y, box.y) || near(point.y, box.y + box.height);
  const upright = near(Math.abs(point.x - box.x), box.width / 2);
  if (box.node.shape === "decision" || box.node.shape === "joint") return (level && middleX) || (upright && middleY);
  if (level) return Math.abs(point.x - box.x) < box.width / 2;
  return upright && point.y > box.y && point.y < box.y + box.height;
}

/** Lines that lie on each other, so that one cannot be told from the other; ways out of one decision may share their beginning. */
function sharedLines(wires: readonly Wire[]): string[] {
  const all = wires.flatMap((wire) => segments(wire).map(([a, b]) => ({ wire, a, b })));
  return pairsThat(all, (one, two) => one.wire.from !== two.wire.from && onEachOther(one, two)).map(
    ([one, two]) => `line ${one.wire.from} -> ${one.wire.to} lies on ${two.wire.from} -> ${two.wire.to}`,
  );
}

function onEachOther(one: { a: Point; b: Point }, two: { a: Point; b: Point }): boolean {
  const along = (axis: "x" | "y", across: "x" | "y") => {
    if (one.a[across] !== one.b[across] || two.a[across] !== two.b[across]) return false;
    if (Math.abs(one.a[across] - two.a[across]) > 1) return false;
    const from = Math.max(Math.min(one.a[axis], one.b[axis]), Math.min(two.a[axis], two.b[axis]));
    const to = Math.min(Math.max(one.a[axis], one.b[axis]), Math.max(two.a[axis], two.b[axis]));
    return to - from > 0.5;
  };
  return along("x", "y") || along("y", "x");
}

/** Text that sticks out of its shape, by what the real face measures. Capitals reach 0.73 of the size up, tails 0.25 down. */
function textFaults(box: Box, measure: Measure): string[] {
  return box.rows
    .filter((row) => {
      const width = measure.width(row.text, row.face, row.size);
      const left = row.anchor === "start" ? row.x : row.x - width / 2;
      return [row.y - 0.73 * row.size, row.y + 0.25 * row.size].some((y) => {
        const half = halfWidthAt(box, y);
        return left < -half || left + width > half;
      });
    })
    .map((row) => `"${row.text}" sticks out of ${box.node.id}`);
}

/** Half of what a shape is wide at a height below its top; negative outside it. */
function halfWidthAt(box: Box, y: number): number {
  if (y < 0 || y > box.height) return -1;
  const half = box.width / 2;
  return box.node.shape === "decision" ? half * (1 - Math.abs(y - box.height / 2) / (box.height / 2)) : half;
}

function rectOf(box: Box): Rect {
  return { x0: box.x - box.width / 2, y0: box.y, x1: box.x + box.width / 2, y1: box.y + box.height };
}

function overlap(a: Rect, b: Rect): boolean {
  return a.x0 < b.x1 - 0.01 && b.x0 < a.x1 - 0.01 && a.y0 < b.y1 - 0.01 && b.y0 < a.y1 - 0.01;
}

function crosses(a: Point, b: Point, rect: Rect): boolean {
  return (
    Math.min(a.x, b.x) < rect.x1 - 0.01 &&
    Math.max(a.x, b.x) > rect.x0 + 0.01 &&
    Math.min(a.y, b.y) < rect.y1 - 0.01 &&
    Math.max(a.y, b.y) > rect.y0 + 0.01
  );
}

function segments(wire: Wire): readonly (readonly [Point, Point])[] {
  return wire.points.slice(1).map((to, index) => [wire.points[index] as Point, to] as const);
}

/** Every two of a list for which something holds. */
function pairsThat<T>(list: readonly T[], holds: (one: T, two: T) => boolean): readonly (readonly [T, T])[] {
  const found: (readonly [T, T])[] = [];
  for (let i = 0; i < list.length; i += 1) {
    for (let j = i + 1; j < list.length; j += 1) {
      const [one, two] = [list[i] as T, list[j] as T];
      if (holds(one, two)) found.push([one, two]);
    }
  }
  return found;
}

function wordsOf(label: Label): string {
  return `label "${label.lines.join(" ")}"`;
}

function doubles(ids: readonly string[]): string[] {
  return ids.filter((id, index) => ids.indexOf(id) !== index);
}
