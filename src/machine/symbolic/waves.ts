import type { Node } from "../graph/graph.js";
import type { Transition } from "../transitions.js";
import { EMPTY, type Ref } from "./bdd.js";
import type { Factored } from "./factored.js";
import { OutOfTime, type Search } from "./search.js";

/** What a shortest path is looked for to: a moment of a transition, or a place. */
export interface Goal {
  /** What is wrong at the moment of a transition; EMPTY where nothing is asked. */
  readonly atMoment: (transition: Transition, from: Node) => Ref;
  /** What is wrong at a place, by node id. */
  readonly atPlace: ReadonlyMap<number, Ref>;
}

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

/** Where what is asked for is met. */
export interface Hit {
  readonly wave: number;
  readonly node: Node;
  readonly transition?: Transition;
  readonly states: Factored;
  /** All that is asked for, reached or not. */
  readonly asked: Ref;
}

/**
 * Breadth first by moments from the start, up to the goal. Two pauses of which neither touches what the other does come to the
 * same in both orders, and to equally many moments: only one order is gone, the earlier of the list first.
 */
export class Waves {
  readonly waves: Wave[];
  private readonly seen: Factored[];
  private readonly worthwhile = new Map<Node, readonly Transition[]>();

  constructor(
    private readonly search: Search,
    private readonly goal: Goal,
    private readonly deadline: (() => boolean) | undefined,
  ) {
    const { graph } = search.transitions.model;
    const { factoring } = search.space;
    const states = factoring.sharpened(factoring.of(search.start));
    this.waves = [{ at: new Map([[graph.start, [{ states, by: undefined }]]]), layer: 0, free: false }];
    this.seen = graph.nodes.map(() => factoring.none);
    this.seen[graph.start.id] = states;
  }

  /** All hits of the fewest moments: at places first, then those of free edges. */
  flood(): readonly Hit[] {
    for (let layer = 0; this.waves.at(-1)!.at.size > 0; layer++) {
      const first = this.waves.length - 1;
      const free = this.closeLayer(layer);
      const atPlaces = this.atPlaces(first);
      if (atPlaces.length > 0) return atPlaces;
      if (free.length > 0) return free;
      const hits = this.stepOn(layer, first);
      if (hits.length > 0) return hits;
    }
    return [];
  }

  private atPlaces(first: number): readonly Hit[] {
    const { factoring } = this.search.space;
    const hits: Hit[] = [];
    for (let wave = first; wave < this.waves.length; wave++) {
      for (const [node, arrivals] of this.waves[wave]!.at) {
        const asked = this.goal.atPlace.get(node.id) ?? EMPTY;
        if (asked === EMPTY) continue;
        const states = factoring.and(this.sum(arrivals), asked);
        if (states.core !== EMPTY) hits.push({ wave, node, states, asked });
      }
    }
    return hits;
  }

  /** Adds the waves that passes and ticks make, until nothing is new. */
  private closeLayer(layer: number): readonly Hit[] {
    const hits: Hit[] = [];
    for (let wave = this.waves.length - 1; this.waves[wave]!.at.size > 0; wave++) {
      const next: Wave = { at: new Map(), layer, free: true };
      for (const [node, arrivals] of this.waves[wave]!.at) this.goOn(wave, node, this.sum(arrivals), next, hits);
      if (next.at.size === 0) break;
      this.waves.push(next);
    }
    return hits;
  }

  /** One moment more: pauses and acts. What both lead to counts as come by the act. */
  private stepOn(layer: number, first: number): readonly Hit[] {
    const next: Wave = { at: new Map(), layer: layer + 1, free: false };
    const byPause: Hit[] = [];
    const byAct: Hit[] = [];
    const last = this.waves.length;
    for (let wave = first; wave < last; wave++)
      for (const [node, arrivals] of this.waves[wave]!.at) this.goOn(wave, node, this.sum(arrivals), next, byAct);
    for (let wave = first; wave < last; wave++)
      for (const [node, arrivals] of this.waves[wave]!.at) this.rest(wave, node, arrivals, next, byPause);
    this.waves.push(next);
    return [...byPause, ...byAct];
  }

  /** Takes the edges from a place that are as free as the wave they lead to. */
  private goOn(wave: number, node: Node, states: Factored, next: Wave, hits: Hit[]): void {
    const { search } = this;
    for (const edge of search.edgesFrom(node)) {
      if ((edge.kind !== "act") !== next.free) continue;
      const image = this.take(wave, node, search.transitions.of(edge), states, hits);
      this.arrive(next, edge.to, { states: image, by: undefined });
    }
  }

  private rest(wave: number, node: Node, arrivals: readonly Arrival[], next: Wave, hits: Hit[]): void {
    for (const pause of this.pausesAt(node)) {
      const from = this.sum(arrivals.filter(({ by }) => !by || this.mayFollow(node, by, pause)));
      if (from.core === EMPTY) continue;
      this.arrive(next, node, { states: this.take(wave, node, pause, from, hits), by: pause });
    }
  }

  private pausesAt(node: Node): readonly Transition[] {
    const known = this.worthwhile.get(node) ?? this.search.pausesWorthwhile(node);
    this.worthwhile.set(node, known);
    return known;
  }

  private mayFollow(node: Node, by: Transition, pause: Transition): boolean {
    const pauses = this.pausesAt(node);
    if (pauses.indexOf(pause) >= pauses.indexOf(by)) return true;
    if (this.goal.atMoment(pause, node) !== EMPTY || this.goal.atMoment(by, node) !== EMPTY) return true;
    return this.search.independence.isOrdered(by, pause);
  }

  private take(wave: number, node: Node, transition: Transition, states: Factored, hits: Hit[]): Factored {
    if (this.deadline?.()) throw new OutOfTime();
    const { space } = this.search;
    const { factoring } = space;
    const moment = factoring.forward(states, transition.operations);
    if (moment.core === EMPTY) return moment;
    const asked = this.goal.atMoment(transition, node);
    const wrong = asked === EMPTY ? factoring.none : factoring.and(moment, asked);
    if (wrong.core !== EMPTY) hits.push({ wave, node, transition, states: wrong, asked });
    return factoring.forward(factoring.without(moment, space.set(transition.broken)), transition.rest);
  }

  private arrive(next: Wave, to: Node, { states, by }: Arrival): void {
    const { factoring } = this.search.space;
    const fresh = factoring.diff(states, this.seen[to.id]!);
    if (fresh.core === EMPTY) return;
    this.seen[to.id] = factoring.or(this.seen[to.id]!, fresh);
    const present = next.at.get(to);
    const arrival = { states: factoring.sharpened(fresh), by };
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
