import type { Edge, Node } from "../graph/graph.js";
import type { Transition } from "../transitions.js";
import { EMPTY } from "./bdd.js";
import type { Factored } from "./factored.js";
import type { Search } from "./search.js";

/** States on ways of equally many moments, that end equally many steps after the first of them. */
export interface Wave {
  readonly at: Map<Node, Arrival[]>;
  /** Moments so far, and to go at least. */
  readonly layer: number;
  /** Came from the wave before it, and made no way longer. */
  readonly free: boolean;
}

/** States that came to a place first by an edge, or first by this pause there. */
interface Arrival {
  readonly states: Factored;
  readonly by: Transition | undefined;
}

/** Where a monitor finds something wrong at a moment. */
export interface FirstBreach {
  readonly wave: number;
  readonly node: Node;
  readonly transition: Transition;
  readonly states: Factored;
}

/** The waves on ways of equally many moments, and what breaks after them. */
export interface Layer {
  readonly first: number;
  readonly last: number;
  readonly breaches: readonly FirstBreach[];
}

/**
 * From the start in the order of the moments that a way takes, those so far and those that are still to go at least (Hart, Nilsson
 * and Raphael 1968), as far as is asked for. Two pauses of which neither touches what the other does come to the same in both
 * orders, and to equally many moments: only one order is gone, that of the list.
 */
export class Waves {
  readonly waves: Wave[] = [];
  private readonly layers: (Layer | undefined)[] = [];
  private readonly coming = new Map<number, Map<Node, Arrival[]>>();
  private readonly seen: Factored[];
  private readonly worthwhile = new Map<Node, readonly Transition[]>();
  private done = 0;

  constructor(
    private readonly search: Search,
    /** By node id, the moments still to go at least: no more than one step more than where the step leads. Absent: none known of. */
    private readonly toGo?: ArrayLike<number>,
  ) {
    const { graph } = search.transitions.model;
    const { factoring } = search.space;
    this.seen = graph.nodes.map(() => factoring.none);
    const start = [{ states: factoring.of(search.start), by: undefined }];
    if (this.from(graph.start) < Number.POSITIVE_INFINITY)
      this.coming.set(this.from(graph.start), new Map([[graph.start, start]]));
  }

  /** What lies on ways of so many moments; undefined where no longer way leads to anything new. */
  layer(index: number): Layer | undefined {
    for (; this.done <= index && this.coming.size > 0; this.done++) this.layers.push(this.explore(this.done));
    return this.layers[index];
  }

  /** The moments of a way that goes on from a wave at a place with a transition, and ends there. */
  through(wave: number, node: Node, transition: Transition): number {
    return this.waves[wave]!.layer - this.from(node) + costOf(transition);
  }

  /** How much longer than it looked a way becomes by a transition. */
  longer(from: Node, transition: Transition): number {
    return costOf(transition) + this.from(placeAfter(from, transition)) - this.from(from);
  }

  /** All states of a wave at a place. */
  statesAt(wave: number, node: Node): Factored {
    return this.sum(this.waves[wave]!.at.get(node) ?? []);
  }

  private from(node: Node): number {
    return this.toGo ? this.toGo[node.id]! : 0;
  }

  /** Goes on from what has come to a layer, until nothing new lies on ways of so many moments. */
  private explore(layer: number): Layer {
    const first = this.waves.length;
    const breaches: FirstBreach[] = [];
    let next: Wave = { at: new Map(), layer, free: false };
    for (const [node, arrivals] of this.coming.get(layer) ?? [])
      for (const { states, by } of arrivals) this.arrive(next, node, states, by);
    this.coming.delete(layer);
    for (let wave = first; next.at.size > 0; wave++) {
      this.waves.push(next);
      next = this.goOn(wave, breaches);
    }
    return { first, last: this.waves.length, breaches };
  }

  private goOn(wave: number, found: FirstBreach[]): Wave {
    const { at, layer } = this.waves[wave]!;
    const next: Wave = { at: new Map(), layer, free: true };
    for (const [node, arrivals] of at) {
      for (const pause of this.pausesAt(node)) {
        const from = this.sum(arrivals.filter(({ by }) => !by || this.mayFollow(node, by, pause)));
        this.bring(next, node, this.take(wave, node, pause, from, found), pause);
      }
      const states = this.sum(arrivals);
      for (const edge of this.search.edgesFrom(node)) this.goAlong(wave, edge, states, next, found);
    }
    return next;
  }

  private goAlong(wave: number, edge: Edge, states: Factored, next: Wave, found: FirstBreach[]): void {
    const transition = this.search.transitions.of(edge);
    this.bring(next, edge.from, this.take(wave, edge.from, transition, states, found), transition);
  }

  /** To the next wave, or to a later layer. */
  private bring(next: Wave, from: Node, states: Factored, by: Transition): void {
    if (states.core === EMPTY) return;
    const to = placeAfter(from, by);
    const layer = next.layer + this.longer(from, by);
    const pause = by.cause.kind === "edge" ? undefined : by;
    if (layer === next.layer) this.arrive(next, to, states, pause);
    else if (layer < Number.POSITIVE_INFINITY) {
      const coming = this.coming.get(layer) ?? new Map<Node, Arrival[]>();
      this.coming.set(layer, coming);
      push(coming, to, { states, by: pause });
    }
  }

  private arrive({ at }: Wave, to: Node, states: Factored, by: Transition | undefined): void {
    const { factoring } = this.search.space;
    const fresh = factoring.diff(this.search.lasting(to, states), this.seen[to.id]!);
    if (fresh.core === EMPTY) return;
    this.seen[to.id] = factoring.or(this.seen[to.id]!, fresh);
    push(at, to, { states: factoring.sharpened(fresh), by });
  }

  private pausesAt(node: Node): readonly Transition[] {
    const known = this.worthwhile.get(node) ?? this.search.pausesWorthwhile(node);
    this.worthwhile.set(node, known);
    return known;
  }

  private mayFollow(node: Node, by: Transition, pause: Transition): boolean {
    const pauses = this.pausesAt(node);
    return pauses.indexOf(pause) >= pauses.indexOf(by) || this.search.independence.isOrdered(by, pause);
  }

  private take(wave: number, node: Node, transition: Transition, states: Factored, found: FirstBreach[]): Factored {
    this.search.watchTime();
    const { space } = this.search;
    const { factoring } = space;
    const moment = factoring.forward(states, transition.operations);
    if (moment.core === EMPTY) return moment;
    const wrong = space.set(transition.broken);
    const broken = factoring.and(moment, wrong);
    if (broken.core === EMPTY) return factoring.forward(moment, transition.rest);
    found.push({ wave, node, transition, states: broken });
    return factoring.forward(factoring.without(moment, wrong), transition.rest);
  }

  private sum(arrivals: readonly Arrival[]): Factored {
    const { factoring } = this.search.space;
    return arrivals.reduce((sum, { states }) => factoring.or(sum, states), factoring.none);
  }
}

function push(at: Map<Node, Arrival[]>, node: Node, arrival: Arrival): void {
  const present = at.get(node);
  if (present) present.push(arrival);
  else at.set(node, [arrival]);
}

function placeAfter(from: Node, { cause }: Transition): Node {
  return cause.kind === "edge" ? cause.edge.to : from;
}

/** Moments that a transition takes. */
export function costOf(transition: Transition): number {
  return transition.cause.kind === "edge" && transition.cause.edge.kind !== "act" ? 0 : 1;
}
