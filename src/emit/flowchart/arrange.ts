import { invariant } from "../../invariant.js";
import { type FlowNode, type SequenceFlow, withConnectors } from "./flow.js";
import type { Grid } from "./grid.js";
import { moved, type Piece, piece } from "./piece.js";
import { boundsOf } from "./rect.js";

/** One sheet: what is drawn on it, several charts side by side or below each other where there is room. */
export interface Page {
  readonly chart: Piece;
}

interface Placed {
  readonly flow: SequenceFlow;
  readonly page: number;
  readonly x: number;
  readonly y: number;
}

interface Room {
  readonly width: number;
  readonly height: number;
}

/** Puts charts on pages in their order, from left to right and then below, and tells each connector where its twin is. */
export function arrange(
  charts: readonly SequenceFlow[],
  draw: (chart: SequenceFlow) => Piece | undefined,
  room: Room,
  grid: Grid,
): readonly Page[] {
  const placed = shelve(charts, draw, room, 2.5 * grid.size);
  const ends = endsOf(placed);
  const count = Math.max(...placed.map((one) => one.page)) + 1;
  return Array.from({ length: count }, (_, page) => {
    const pieces = placed.filter((one) => one.page === page).flatMap((one) => finished(one, draw, ends));
    return { chart: together(pieces) };
  });
}

/** Both ends of a cut line: the pages they stand on, and the letter that they carry, in the order of the pages. */
interface Ends {
  readonly letter: string;
  readonly pages: Map<string, number>;
}

function endsOf(placed: readonly Placed[]): ReadonlyMap<string, Ends> {
  const ends = new Map<string, Ends>();
  for (const one of placed) {
    withConnectors(one.flow, (connector) => {
      const pair = pairOf(connector);
      const known = ends.get(pair) ?? { letter: letters(ends.size), pages: new Map() };
      known.pages.set(connector.id, one.page);
      ends.set(pair, known);
      return connector;
    });
  }
  return ends;
}

function pairOf(connector: FlowNode): string {
  return connector.id.replace(/-(?:in|out)$/, "");
}

/** A to Z, then AA to AZ and so on. */
function letters(count: number): string {
  const last = String.fromCharCode(65 + (count % 26));
  return count < 26 ? last : letters(Math.floor(count / 26) - 1) + last;
}

function shelve(
  charts: readonly SequenceFlow[],
  draw: (chart: SequenceFlow) => Piece | undefined,
  room: Room,
  gap: number,
): readonly Placed[] {
  const placed: Placed[] = [];
  let page = 0;
  let x = 0;
  let y = 0;
  let shelf = 0;
  for (const flow of charts) {
    const drawn = draw(flow);
    if (!drawn) continue;
    const bounds = boundsOf(drawn.rects);
    const [width, height] = [bounds.x1 - bounds.x0, bounds.y1 - bounds.y0];
    if (x > 0 && (x + width > room.width || y + height > room.height)) {
      x = 0;
      y += shelf + gap;
      shelf = 0;
    }
    if (y > 0 && y + height > room.height) {
      page += 1;
      x = 0;
      y = 0;
      shelf = 0;
    }
    placed.push({ flow, page, x, y });
    x += width + gap;
    shelf = Math.max(shelf, height);
  }
  return placed;
}

function finished(
  one: Placed,
  draw: (chart: SequenceFlow) => Piece | undefined,
  ends: ReadonlyMap<string, Ends>,
): readonly Piece[] {
  const told = withConnectors(one.flow, (connector) => addressed(connector, one.page, ends.get(pairOf(connector))));
  const drawn = draw(told);
  if (!drawn) return [];
  const bounds = boundsOf(drawn.rects);
  return [moved(drawn, one.x - bounds.x0, one.y - bounds.y0)];
}

/** A connector with its letter, and with the page of its twin where that is another one. */
function addressed(connector: FlowNode, here: number, ends: Ends | undefined): FlowNode {
  const there = [...(ends?.pages ?? [])].find(([id]) => id !== connector.id)?.[1] ?? here;
  const head = there === here ? "" : `${connector.leads ? "to" : "from"} p. ${there + 1}`;
  return { ...connector, text: [ends?.letter ?? ""], head };
}

function together(pieces: readonly Piece[]): Piece {
  const parts = {
    boxes: pieces.flatMap((one) => [...one.boxes]),
    wires: pieces.flatMap((one) => [...one.wires]),
    labels: pieces.flatMap((one) => [...one.labels]),
  };
  const entry = pieces[0]?.entry;
  invariant(entry, "a page holds at least one chart");
  return piece(entry, parts, undefined);
}
