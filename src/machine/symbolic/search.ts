import type { Expression, Variable } from "../expression.js";
import type { Edge, Node } from "../graph/graph.js";
import { outgoingOf } from "../graph/reach.js";
import type { Transition, Transitions } from "../transitions.js";
import { EMPTY, type Ref } from "./bdd.js";
import { Space } from "./space.js";

/** Raised when the time given to a run is over; the answer is then `unproved`. */
export class OutOfTime extends Error {
  override readonly name = "OutOfTime";
}

/** States of one place in which a monitor or a question found something wrong at a moment. */
export interface Breach {
  readonly from: Node;
  readonly transition: Transition;
  /** At the moment itself, ahead of `rest`. */
  readonly states: Ref;
}

export interface SearchOptions {
  /** Variables in their order. */
  readonly order: readonly Variable[];
  readonly nodeLimit?: number;
  readonly cacheBits?: number;
  /** Asked now and then; true stops the search. */
  readonly deadline?: () => boolean;
}

/** Every state of a model that can be reached, place by place. */
export class Search {
  readonly space: Space;
  /** By node id, pauses included. */
  readonly reached: Ref[];
  readonly breaches: Breach[] = [];
  readonly start: Ref;
  private readonly outgoing: ReadonlyMap<Node, readonly Edge[]>;
  private readonly nodes: readonly Node[];
  private readonly deadline: (() => boolean) | undefined;

  constructor(
    readonly transitions: Transitions,
    options: SearchOptions,
  ) {
    const { graph } = transitions.model;
    this.space = new Space(options.order, transitions.settling, options.nodeLimit, options.cacheBits);
    this.nodes = graph.nodes;
    this.outgoing = outgoingOf(graph.edges);
    this.reached = graph.nodes.map(() => EMPTY);
    this.start = transitions.startIn(this.space);
    this.deadline = options.deadline;
  }

  edgesFrom(node: Node): readonly Edge[] {
    return this.outgoing.get(node) ?? [];
  }

  /** Explores to a fixpoint. With `first`, stops at the first breach. States that break go no further. */
  run(first = false): this {
    const { graph } = this.transitions.model;
    const rank = ranks(graph.start, graph.nodes.length, this.outgoing);
    const byRank: (Node | undefined)[] = [];
    for (const node of this.nodes) if (rank[node.id]! >= 0) byRank[rank[node.id]!] = node;
    const fresh: Ref[] = this.nodes.map(() => EMPTY);
    fresh[graph.start.id] = this.start;
    let at = 0;
    while (at < byRank.length) {
      const node = byRank[at]!;
      const states = this.space.bdd.diff(fresh[node.id]!, this.reached[node.id]!);
      fresh[node.id] = EMPTY;
      if (states === EMPTY) {
        at++;
        continue;
      }
      if (this.deadline?.()) throw new OutOfTime();
      const grown = this.pause(node, states);
      let lowest = at + 1;
      for (const edge of this.edgesFrom(node)) {
        const image = this.take(node, this.transitions.of(edge), grown);
        if (image === EMPTY) continue;
        fresh[edge.to.id] = this.space.bdd.or(fresh[edge.to.id]!, image);
        lowest = Math.min(lowest, rank[edge.to.id]!);
      }
      if (first && this.breaches.length > 0) return this;
      at = Math.min(at, lowest);
    }
    return this;
  }

  /** The states after one transition; those that break are noted, and dropped. */
  take(from: Node, transition: Transition, states: Ref): Ref {
    const { space } = this;
    const moment = space.forward(states, transition.operations);
    if (moment === EMPTY) return EMPTY;
    const broken = space.bdd.and(moment, space.set(transition.broken));
    if (broken !== EMPTY) this.breaches.push({ from, transition, states: broken });
    return space.forward(space.bdd.diff(moment, broken), transition.rest);
  }

  /** Adds the states and all that pauses make of them; gives what was added. */
  private pause(node: Node, states: Ref): Ref {
    const { bdd } = this.space;
    const pauses = this.transitions.pausesAt(node);
    let added = states;
    this.reached[node.id] = bdd.or(this.reached[node.id]!, states);
    for (let frontier = states; frontier !== EMPTY && pauses.length > 0; ) {
      let next = EMPTY;
      for (const pause of pauses) next = bdd.or(next, this.take(node, pause, frontier));
      frontier = bdd.diff(next, this.reached[node.id]!);
      added = bdd.or(added, frontier);
      this.reached[node.id] = bdd.or(this.reached[node.id]!, frontier);
    }
    return added;
  }

  /**
   * The states from which a path leads out of a region: over an edge to a place outside it. Only states of the region are
   * looked at, as a map from node id.
   */
  canLeave(region: readonly Node[]): ReadonlyMap<number, Ref> {
    const { bdd } = this.space;
    const inside = new Set(region.map((node) => node.id));
    const good = new Map<number, Ref>(region.map((node) => [node.id, EMPTY]));
    for (let changed = true; changed; ) {
      changed = false;
      for (const node of region) {
        const present = good.get(node.id)!;
        let grown = present;
        for (const edge of this.edgesFrom(node)) {
          const target = inside.has(edge.to.id) ? good.get(edge.to.id)! : 1;
          grown = bdd.or(grown, this.before(this.transitions.of(edge), target));
        }
        for (const pause of this.transitions.pausesAt(node)) grown = bdd.or(grown, this.before(pause, grown));
        grown = bdd.and(grown, this.reached[node.id]!);
        if (grown !== present) {
          good.set(node.id, grown);
          changed = true;
        }
      }
    }
    return good;
  }

  /** The states that a transition can take into the set; those that break do not come there. */
  before(transition: Transition, states: Ref): Ref {
    const { space } = this;
    const unbroken = space.bdd.diff(space.backward(states, transition.rest), space.set(transition.broken));
    return space.backward(unbroken, transition.operations);
  }

  /** States at the moment of an edge, ahead of what is dropped after it. */
  momentsOf(edge: Edge): Ref {
    return this.space.forward(this.reached[edge.from.id]!, this.transitions.of(edge).operations);
  }

  holdsEverywhere(states: Ref, truth: Expression): boolean {
    return this.space.bdd.diff(states, this.space.set(truth)) === EMPTY;
  }
}

/** Places in reverse post-order from the start; -1 where no path leads. */
function ranks(start: Node, count: number, outgoing: ReadonlyMap<Node, readonly Edge[]>): Int32Array {
  const rank = new Int32Array(count).fill(-1);
  const finished: Node[] = [];
  const seen = new Set<Node>([start]);
  const stack: { readonly node: Node; next: number }[] = [{ node: start, next: 0 }];
  while (stack.length > 0) {
    const top = stack.at(-1)!;
    const edge = (outgoing.get(top.node) ?? [])[top.next++];
    if (!edge) {
      finished.push(top.node);
      stack.pop();
    } else if (!seen.has(edge.to)) {
      seen.add(edge.to);
      stack.push({ node: edge.to, next: 0 });
    }
  }
  finished.reverse().forEach((node, index) => {
    rank[node.id] = index;
  });
  return rank;
}
