import type { Node } from "../graph/graph.js";
import type { Transition } from "../transitions.js";
import { EMPTY, type Ref } from "./bdd.js";
import type { Factored } from "./factored.js";
import type { Search } from "./search.js";

/** States that take equally many moments, and equally many free edges after the last of them. */
export interface Wave {
  readonly at: Map<Node, Arrival[]>;
  readonly layer: number;
  /** Came from the wave before it at no cost. */
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

/** The waves that take equally many moments, and what breaks on the free edges and at the moments after them. */
export interface Layer {
  readonly first: number;
  readonly last: number;
  readonly freeBreaches: readonly FirstBreach[];
}

/**
 * Breadth first by moments from the start, as far as is asked for. Two pauses of which neither touches what the other does come
 * to the same in both orders, and to equally many moments: only one order is gone, that of the list.
 */
export class Waves {
  readonly waves: Wave[];
  private readonly layers: Layer[] = [];
  private readonly breaches: (readonly FirstBreach[])[] = [];
  private readonly seen: Factored[];
  private readonly worthwhile = new Map<Node, readonly Transition[]>();

  constructor(
    private readonly search: Search,
    /** The states of a place that are worth going on with after so many moments; absent: all. */
    private readonly worth?: (node: Node, layer: number) => Ref,
  ) {
    const { graph } = search.transitions.model;
    const { factoring } = search.space;
    const states = factoring.sharpened(factoring.of(search.start));
    this.waves = [{ at: new Map([[graph.start, [{ states, by: undefined }]]]), layer: 0, free: false }];
    this.seen = graph.nodes.map(() => factoring.none);
    this.seen[graph.start.id] = states;
  }

  /** The states that so many moments lead to; undefined where all were met before. */
  layer(index: number): Layer | undefined {
    const known = this.layers[index];
    if (known) return known;
    if (index > 0) this.breachesAfter(index - 1);
    const first = this.waves.length - 1;
    if (this.waves[first]!.at.size === 0) return undefined;
    const freeBreaches = this.close(index);
    const made = { first, last: this.waves.length, freeBreaches };
    this.layers.push(made);
    return made;
  }

  /** What breaks at the moment after a layer: in pauses first, then by acts. */
  breachesAfter(index: number): readonly FirstBreach[] {
    this.breaches[index] ??= this.stepOn(index);
    return this.breaches[index]!;
  }

  /** All states of a wave at a place. */
  statesAt(wave: number, node: Node): Factored {
    return this.sum(this.waves[wave]!.at.get(node) ?? []);
  }

  /** Adds the waves that passes and ticks make, until nothing is new. */
  private close(layer: number): readonly FirstBreach[] {
    const found: FirstBreach[] = [];
    for (let wave = this.waves.length - 1; ; wave++) {
      const next: Wave = { at: new Map(), layer, free: true };
      for (const [node, arrivals] of this.waves[wave]!.at) this.goOn(wave, node, this.sum(arrivals), next, found);
      if (next.at.size === 0) return found;
      this.waves.push(next);
    }
  }

  /** One moment more: acts and pauses. */
  private stepOn(index: number): readonly FirstBreach[] {
    const { first, last } = this.layers[index]!;
    const next: Wave = { at: new Map(), layer: index + 1, free: false };
    const byPause: FirstBreach[] = [];
    const byAct: FirstBreach[] = [];
    for (let wave = first; wave < last; wave++) {
      for (const [node, arrivals] of this.waves[wave]!.at) {
        this.goOn(wave, node, this.sum(arrivals), next, byAct);
        this.rest(wave, node, arrivals, next, byPause);
      }
    }
    this.waves.push(next);
    return [...byPause, ...byAct];
  }

  /** Takes the edges from a place that are as free as the wave they lead to. */
  private goOn(wave: number, node: Node, states: Factored, next: Wave, found: FirstBreach[]): void {
    for (const edge of this.search.edgesFrom(node)) {
      if ((edge.kind !== "act") !== next.free) continue;
      const image = this.take(wave, node, this.search.transitions.of(edge), states, found);
      this.arrive(next, edge.to, image, undefined);
    }
  }

  private rest(wave: number, node: Node, arrivals: readonly Arrival[], next: Wave, found: FirstBreach[]): void {
    for (const pause of this.pausesAt(node)) {
      const from = this.sum(arrivals.filter(({ by }) => !by || this.mayFollow(node, by, pause)));
      if (from.core !== EMPTY) this.arrive(next, node, this.take(wave, node, pause, from, found), pause);
    }
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

  private arrive(next: Wave, to: Node, states: Factored, by: Transition | undefined): void {
    if (states.core === EMPTY) return;
    const { factoring } = this.search.space;
    const worth = this.worth ? factoring.and(states, this.worth(to, next.layer)) : states;
    const fresh = factoring.diff(worth, this.seen[to.id]!);
    if (fresh.core === EMPTY) return;
    this.seen[to.id] = factoring.or(this.seen[to.id]!, fresh);
    const arrival = { states: factoring.sharpened(fresh), by };
    const present = next.at.get(to);
    if (present) present.push(arrival);
    else next.at.set(to, [arrival]);
  }

  private sum(arrivals: readonly Arrival[]): Factored {
    const { factoring } = this.search.space;
    return arrivals.reduce((sum, { states }) => factoring.or(sum, states), factoring.none);
  }
}

/** Moments that a transition takes. */
export function costOf(transition: Transition): number {
  return transition.cause.kind === "edge" && transition.cause.edge.kind !== "act" ? 0 : 1;
}
