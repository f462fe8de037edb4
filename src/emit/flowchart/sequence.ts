import { type Context, single } from "./context.js";
import { type Exit, type Flow, goesOn, type SequenceFlow } from "./flow.js";
import { type Box, type Label, moved, type Piece, piece, type Way, type Wire } from "./piece.js";
import { clearDown, DEEP, type Rect } from "./rect.js";
import { levelLine, placeRights, type Rights } from "./rights.js";
import { exitRects, gapAfter, wireDown } from "./ways.js";

/** One piece of a spine; `rights` are ways out of its first shape that end by themselves and may hang wherever there is room. */
interface Item {
  readonly piece: Piece;
  readonly rights: readonly Exit[];
}

/**
 * One thing under another on a straight spine, from the last to the first: a way to the right that ends by itself is hung
 * beyond all that stands below it, so that it never stretches the spine. Only where the room is too narrow is the rest moved down.
 */
export function layoutSequence(flow: SequenceFlow, context: Context): Piece | undefined {
  const items = itemsOf(flow.of, context);
  const spine = new Spine(context, goesOn(flow) ? items.at(-1)?.piece.exit : undefined);
  for (const item of items.toReversed()) spine.above(item);
  return spine.finish();
}

function itemsOf(flows: readonly Flow[], context: Context): readonly Item[] {
  return flows.flatMap((flow): readonly Item[] => {
    if (flow.kind === "node") return [{ piece: single(context, flow.node, "", !goesOn(flow)), rights: [] }];
    if (flow.kind === "fork" && flow.rights.every((right) => right.standing || !goesOn(right.flow))) {
      const core = single(context, flow.decision, flow.down.label, false);
      return [{ piece: core, rights: flow.rights }, ...itemsOf(flow.down.flow.of, context)];
    }
    const laid = context.layoutFlow(flow, context);
    return laid ? [{ piece: laid, rights: [] }] : [];
  });
}

/** A spine that grows upwards. What is placed never moves again; the whole is moved once at the end. */
class Spine {
  private readonly boxes: Box[] = [];
  private readonly wires: Wire[] = [];
  private readonly labels: Label[] = [];
  private readonly rects: Rect[] = [];
  private entry: Box | undefined;

  /** `exit`: where the last piece, whose top is at 0, is left. */
  constructor(
    private readonly context: Context,
    private readonly exit: Way | undefined,
  ) {}

  above(item: Item): void {
    const top = this.topFor(item);
    const rights = this.hang(item, top);
    if (rights && rightEnd(rights) > this.context.room) this.placeAt(item, ...this.lower(item, top));
    else this.placeAt(item, top, rights);
  }

  private placeAt(item: Item, top: number, rights: Rights | undefined): void {
    const placed = moved(item.piece, 0, top);
    this.connect(placed);
    this.take(placed);
    if (rights) this.take(rights);
    this.entry = placed.entry;
  }

  /** All that is placed comes to stand below the ways to the right, since there is no room beside it. */
  private lower(item: Item, top: number): [number, Rights | undefined] {
    const alone = this.hang(item, top, true);
    const raised = Math.min(top, top - clearDown(this.rects, alone?.rects ?? [], this.context.grid.clear));
    return [raised, this.hang(item, raised, true)];
  }

  /** The ways to the right of an item whose top is at `top`, clear of all below it and of the line to it. */
  private hang(item: Item, top: number, alone = false): Rights | undefined {
    if (item.rights.length === 0) return undefined;
    const { grid } = this.context;
    const exit = item.piece.exit && { ...item.piece.exit, y: item.piece.exit.y + top };
    const line = exitRects(grid, exit, 0, alone ? DEEP : -top);
    const beside = alone ? line : [...this.rects, ...line, ...exitRects(grid, this.exit, 0, DEEP)];
    return placeRights(this.context, item.rights, { ...item.piece.entry, y: top }, beside);
  }

  /** The whole, entered at (0, 0). */
  finish(): Piece | undefined {
    if (!this.entry) return undefined;
    return moved(
      piece(this.entry, { boxes: this.boxes, wires: this.wires, labels: this.labels }, this.exit),
      0,
      -this.entry.y,
    );
  }

  /** Where the top of a piece must be so that it is clear of all that is placed. */
  private topFor(item: Item): number {
    const { grid, extra } = this.context;
    const upper = item.piece;
    if (!this.entry) return 0;
    const gap = upper.exit ? gapAfter(grid, upper.exit) : grid.gap;
    const bottom = upper.exit?.y ?? Math.max(...upper.rects.map((rect) => rect.y1));
    const spine = this.entry.y - (bottom + gap + (extra.get(this.entry.node.id) ?? 0));
    const solid = item.rights.length > 0 ? [...upper.rects, levelLine(grid, upper.entry)] : upper.rects;
    return Math.min(spine, -clearDown(this.rects, solid, grid.clear));
  }

  private connect(upper: Piece): void {
    if (!upper.exit || !this.entry) return;
    const { wire, labels } = wireDown(this.context.grid, upper.exit, this.entry);
    this.take(piece(upper.entry, { boxes: [], wires: [wire], labels }, undefined));
  }

  private take(part: Piece | Rights): void {
    this.boxes.push(...part.boxes);
    this.wires.push(...part.wires);
    this.labels.push(...part.labels);
    this.rects.push(...part.rects);
  }
}

function rightEnd(rights: Rights): number {
  return Math.max(...rights.rects.map((rect) => rect.x1));
}
