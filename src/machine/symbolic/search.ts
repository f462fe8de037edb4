import type { Expression, Variable } from "../expression.js";
import type { Edge, Node } from "../graph/graph.js";
import { incomingOf, type Ways } from "../graph/reach.js";
import type { Transition, Transitions } from "../transitions.js";
import type { Arrival, Part, Source } from "./arrival.js";
import { EMPTY, FULL, type Ref } from "./bdd.js";
import { type Bypass, bypass } from "./bypass.js";
import type { Factored } from "./factored.js";
import { Independence } from "./independence.js";
import { Liveness } from "./liveness.js";
import { Space } from "./space.js";
import { Walk } from "./walk.js";

/** Raised when the time given to a run is over; the answer is then `unproved`. */
export class OutOfTime extends Error {
  override readonly name = "OutOfTime";
}

/** So few variables stay small sets even if none is ever forgotten. */
const MANY = 60;

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
  /** What the starts are narrowed to. */
  readonly given?: Expression;
  /** Asked now and then; true stops the search. */
  readonly deadline?: () => boolean;
  /** The edges that are gone along, if it is known that nothing comes anywhere by any other. */
  readonly ways?: Ways;
  /** In which the sets are made; else one of its own, in that order. */
  readonly space?: Space;
  readonly independence?: Independence;
  /** What is asked at places, by node id: with it, what nothing asks about any more is forgotten on the way. */
  readonly asked?: (id: number) => Iterable<Variable>;
  /** Variables from which on that is done. */
  readonly forgetFrom?: number;
}

export interface Way {
  readonly transition: Transition;
  readonly ahead: readonly Factored[];
  readonly after: readonly Factored[];
}

/** What a pause adds to the states that come to it. */
interface Added {
  readonly added: Factored;
  readonly parts: readonly Part[];
}

/** Every state of a model that can be reached, place by place. */
export class Search {
  readonly space: Space;
  readonly breaches: Breach[] = [];
  /** Pauses that come about somewhere. */
  readonly firing = new Set<Transition>();
  readonly start: Ref;
  /** The edges by which anything came anywhere. */
  readonly taken = new Set<Edge>();
  private readonly outgoing: ReadonlyMap<Node, readonly Edge[]>;
  private readonly nodes: readonly Node[];
  readonly independence: Independence;
  private incoming: ReadonlyMap<Node, readonly Edge[]> | undefined;
  /** By node id, pauses included. */
  private readonly met: Factored[];
  /** By node id, how the states came that were met. */
  private readonly arrivals: Arrival[][];
  private readonly reached: (Ref | undefined)[];
  private readonly unsettled = new Map<Transition, Factored>();
  private liveness: Liveness | undefined;

  constructor(
    readonly transitions: Transitions,
    private readonly options: SearchOptions,
  ) {
    const { graph } = transitions.model;
    this.space = options.space ?? new Space(options.order, transitions.settling, options.nodeLimit);
    this.nodes = graph.nodes;
    this.outgoing = options.ways?.outgoing ?? graph.outgoing;
    this.incoming = options.ways?.incoming;
    this.met = graph.nodes.map(() => this.space.factoring.none);
    this.reached = graph.nodes.map(() => EMPTY);
    this.arrivals = graph.nodes.map(() => []);
    const start = transitions.startIn(this.space);
    this.start = options.given ? this.space.bdd.and(start, this.space.set(options.given)) : start;
    this.independence = options.independence ?? new Independence(transitions);
  }

  /** A search of the same, not yet run, that shares what was worked out on the way. */
  anew(): Search {
    const { space, independence } = this;
    return new Search(this.transitions, { ...this.options, space, independence });
  }

  /** States that come to a place, without what no longer counts there. */
  lasting(node: Node, states: Factored): Factored {
    const { asked, forgetFrom = MANY } = this.options;
    if (!asked || states.core === EMPTY || this.space.variables.length < forgetFrom) return states;
    this.liveness ??= new Liveness(this.transitions, this.space, asked);
    return this.space.factoring.forgetting(states, this.liveness.deadAt(node));
  }

  edgesFrom(node: Node): readonly Edge[] {
    return this.outgoing.get(node) ?? [];
  }

  /** The states that were met at a place, pauses included. */
  reachedAt(id: number): Ref {
    this.reached[id] ??= this.space.factoring.plain(this.met[id]!);
    return this.reached[id]!;
  }

  cameTo({ id }: Node): boolean {
    return this.met[id]!.core !== EMPTY;
  }

  /** How they came to be met there, in the order in which they came; only places that the search stood at. */
  arrivalsAt({ id }: Node): readonly Arrival[] {
    return this.arrivals[id]!;
  }

  /** For each transition, the states ahead of settling in which some equipment changes at once. */
  moving(): ReadonlyMap<Transition, Ref> {
    return new Map([...this.unsettled].map(([transition, states]) => [transition, this.space.factoring.plain(states)]));
  }

  /** Explores to a fixpoint. States that break go no further. */
  run(): this {
    return this.explore({ standIns: this.nodes, dropped: new Set() });
  }

  /**
   * Explores no further than to the first breach that is enough, without places at which nothing that counts is done. What is
   * reached is known only at the places that are asked about.
   */
  runUntil(isEnough: (breach: Breach) => boolean, asked: (id: number) => boolean): this {
    return this.explore(bypass(this.transitions, this.outgoing, asked), isEnough);
  }

  private explore({ standIns, dropped }: Bypass, isEnough?: (breach: Breach) => boolean): this {
    const { factoring } = this.space;
    const { graph } = this.transitions.model;
    const { ranks, ranked } = graph;
    const fresh: Factored[] = this.nodes.map(() => factoring.none);
    const pauses: (readonly Transition[])[] = this.nodes.map(() => []);
    const sources: Source[][] = this.nodes.map(() => []);
    const start = standIns[graph.start.id]!;
    fresh[start.id] = this.lasting(start, factoring.of(this.start));
    pauses[start.id] = this.transitions.pausesAt(start);
    let at = 0;
    while (at < ranked.length) {
      const node = ranked[at]!;
      const come = fresh[node.id]!;
      const states = come.core === EMPTY ? come : factoring.sharpened(factoring.diff(come, this.met[node.id]!));
      fresh[node.id] = factoring.none;
      if (states.core === EMPTY) {
        at++;
        continue;
      }
      this.watchTime();
      const { added: grown, parts } = this.pause(node, states, pauses[node.id]!);
      const arrival = { node, from: sources[node.id]!, parts };
      this.arrivals[node.id]!.push(arrival);
      pauses[node.id] = [];
      sources[node.id] = [];
      let lowest = at + 1;
      for (const edge of this.edgesFrom(node)) {
        if (dropped.has(edge)) continue;
        const image = this.transitions.concerns(edge)
          ? this.take(node, this.transitions.of(edge), grown)
          : factoring.forward(grown, this.transitions.lead(edge));
        if (image.core === EMPTY) continue;
        this.taken.add(edge);
        const to = standIns[edge.to.id]!;
        fresh[to.id] = factoring.or(fresh[to.id]!, this.lasting(to, image));
        pauses[to.id] = joined(pauses[to.id]!, this.independence.after(edge, to));
        sources[to.id]!.push({ arrival, edge });
        lowest = Math.min(lowest, ranks[to.id]!);
      }
      if (isEnough && this.breaches.some(isEnough)) return this;
      at = Math.min(at, lowest);
    }
    return this;
  }

  /**
   * Where a monitor finds something wrong, once all is explored: at the breaches, and wherever the states that a pause breaks are
   * come to by edges that change nothing that counts, after which the pause is not taken anew.
   */
  brokenAt(): readonly Pick<Breach, "from" | "transition">[] {
    const found: Pick<Breach, "from" | "transition">[] = [];
    const seen = new Map<Node, Set<Transition>>();
    const pending: Pick<Breach, "from" | "transition">[] = [...this.breaches];
    for (let one = pending.pop(); one; one = pending.pop()) {
      const { from, transition } = one;
      const here = seen.get(from) ?? new Set();
      if (here.has(transition)) continue;
      seen.set(from, here.add(transition));
      found.push(one);
      if (transition.cause.kind === "edge") continue;
      for (const edge of this.edgesFrom(from)) {
        const isThere = this.transitions.pausesAt(edge.to).includes(transition);
        if (isThere && !this.independence.after(edge, edge.to).includes(transition))
          pending.push({ from: edge.to, transition });
      }
    }
    return found;
  }

  /** The pauses at a place that can lead to anything new there, whatever edge was taken to it. */
  pausesWorthwhile(node: Node): readonly Transition[] {
    const pauses = this.transitions.pausesAt(node);
    if (pauses.length === 0 || node === this.transitions.model.graph.start) return pauses;
    const worth = new Set(this.edgesTo(node).flatMap((edge) => this.independence.after(edge, node)));
    return pauses.filter((pause) => worth.has(pause));
  }

  /** Throws `OutOfTime` once the time given is over. */
  watchTime(): void {
    if (this.options.deadline?.()) throw new OutOfTime();
  }

  edgesTo(node: Node): readonly Edge[] {
    this.incoming ??= incomingOf(this.transitions.model.graph.edges);
    return this.incoming.get(node) ?? [];
  }

  /** The states after one transition; those that break are noted, and dropped. */
  private take(from: Node, transition: Transition, states: Factored): Factored {
    const { factoring } = this.space;
    const moment = this.momentOf(transition, states);
    if (moment.core === EMPTY) return moment;
    if (transition.cause.kind !== "edge") this.firing.add(transition);
    const wrong = this.space.set(transition.broken);
    const broken = factoring.and(moment, wrong);
    if (broken.core === EMPTY) return factoring.forward(moment, transition.rest);
    this.breaches.push({ from, transition, states: factoring.plain(broken) });
    return factoring.forward(factoring.without(moment, wrong), transition.rest);
  }

  /** Explores the pause at the start alone. */
  runStart(): this {
    const { start } = this.transitions.model.graph;
    this.pause(start, this.space.factoring.of(this.start), this.transitions.pausesAt(start));
    return this;
  }

  /** The states at the moment; those in which equipment changes at once are noted on the way. */
  private momentOf(transition: Transition, states: Factored): Factored {
    const { factoring } = this.space;
    const { operations, settlesAt } = transition;
    const settle = settlesAt === undefined ? undefined : operations[settlesAt];
    if (settlesAt === undefined || settle?.kind !== "settle") return factoring.forward(states, operations);
    const ahead = factoring.forward(states, operations, 0, settlesAt);
    const moving = factoring.without(ahead, this.space.settledAmong(settle));
    if (moving.core === EMPTY) return factoring.forward(ahead, operations, settlesAt + 1);
    this.unsettled.set(transition, factoring.or(this.unsettled.get(transition) ?? factoring.none, moving));
    return factoring.forward(ahead, operations, settlesAt);
  }

  /**
   * Adds the states and all that these pauses make of them; gives what was added. Each is taken with all that is there by then.
   * A pause that is done with all there is need not be taken with what a pause independent of it adds: that comes to what the
   * other, which is now done with all there was as well, makes of what this one made.
   */
  private pause(node: Node, states: Factored, pauses: readonly Transition[]): Added {
    const { factoring } = this.space;
    const parts: Part[] = [{ states }];
    let added = states;
    let met = factoring.or(this.met[node.id]!, states);
    const pending = pauses.map(() => states);
    for (let at = 0, idle = 0; idle < pauses.length; at = (at + 1) % pauses.length) {
      const from = pending[at]!;
      pending[at] = factoring.none;
      const fresh = this.canCome(pauses[at]!, from)
        ? factoring.diff(this.lasting(node, this.take(node, pauses[at]!, from)), met)
        : factoring.none;
      idle = fresh.core === EMPTY ? idle + 1 : 0;
      if (fresh.core === EMPTY) continue;
      parts.push({ states: fresh, pause: pauses[at]! });
      added = factoring.or(added, fresh);
      met = factoring.or(met, fresh);
      for (let index = 0; index < pauses.length; index++) {
        const waiting = pending[index]!;
        if (waiting.core !== EMPTY || index === at || this.independence.isOrdered(pauses[at]!, pauses[index]!))
          pending[index] = factoring.or(waiting, fresh);
      }
    }
    this.met[node.id] = met;
    this.reached[node.id] = undefined;
    return { added, parts };
  }

  /** A first look at what a pause asks of the states: most ask in vain. */
  private canCome({ operations }: Transition, states: Factored): boolean {
    if (states.core === EMPTY) return false;
    const [first] = operations;
    return first?.kind !== "assume" || this.space.factoring.meets(states, this.space.set(first.condition));
  }

  /**
   * The states of a region from which a path leads out of it, over an edge to a place outside, or to states that count as
   * outside; not over some edges. As a map from node id. Stops early once the states of `asked` are all among them.
   */
  canLeave(
    region: readonly Node[],
    asked: ReadonlyMap<number, Ref>,
    { counts, notBy }: { readonly counts?: ReadonlyMap<number, Ref>; readonly notBy?: (edge: Edge) => boolean } = {},
  ): ReadonlyMap<number, Ref> {
    const { bdd } = this.space;
    const inside = new Set(region.map((node) => node.id));
    const good = new Map<number, Ref>();
    const fresh = new Map<number, Ref>();
    const add = (id: number, states: Ref) => {
      const more = bdd.diff(states, good.get(id) ?? EMPTY);
      if (more === EMPTY) return;
      good.set(id, bdd.or(good.get(id) ?? EMPTY, more));
      fresh.set(id, bdd.or(fresh.get(id) ?? EMPTY, more));
    };
    const ways = new Map<Node, Map<Transition, Way>>();
    const wayOf = (node: Node, transition: Transition): Way => {
      const here = ways.get(node) ?? new Map<Transition, Way>();
      ways.set(node, here);
      const way = here.get(transition) ?? this.wayFrom(transition, this.met[node.id]!);
      here.set(transition, way);
      return way;
    };
    const into = new Map<number, Edge[]>();
    for (const node of region) {
      add(node.id, counts?.get(node.id) ?? EMPTY);
      for (const edge of this.edgesFrom(node)) {
        if (inside.has(edge.to.id)) into.set(edge.to.id, [...(into.get(edge.to.id) ?? []), edge]);
        else if (!notBy?.(edge)) add(node.id, this.back(wayOf(node, this.transitions.of(edge)), FULL));
      }
    }
    const isAnswered = () => [...asked].every(([id, states]) => bdd.isWithin(states, good.get(id) ?? EMPTY));
    while (fresh.size > 0 && !isAnswered()) {
      this.watchTime();
      const id = this.lastOf(fresh.keys());
      const states = fresh.get(id)!;
      fresh.delete(id);
      const node = this.nodes[id]!;
      for (const pause of this.transitions.pausesAt(node)) add(id, this.back(wayOf(node, pause), states));
      for (const edge of into.get(id) ?? [])
        add(edge.from.id, this.back(wayOf(edge.from, this.transitions.of(edge)), states));
    }
    return good;
  }

  /** The id of the place that comes last: what leads back from there is then all there when an earlier place is come to. */
  private lastOf(ids: Iterable<number>): number {
    const { ranks } = this.transitions.model.graph;
    return [...ids].reduce((last, id) => (ranks[id]! > ranks[last]! ? id : last));
  }

  /** The states among `from` that a transition can take into the set; those that break do not come there. */
  before(transition: Transition, states: Ref, from: Ref): Ref {
    return this.back(this.way(transition, from), states);
  }

  /** What a transition meets on its way from some states, kept to go back on more than once. */
  way(transition: Transition, from: Ref): Way {
    return this.wayFrom(transition, this.space.factoring.of(from));
  }

  /** The same from states that are written in two parts. */
  wayFrom(transition: Transition, from: Factored): Way {
    const { factoring } = this.space;
    const ahead = this.space.through(factoring.sharpened(from), transition.operations);
    const unbroken = factoring.without(ahead.at(-1)!, this.space.set(transition.broken));
    return { transition, ahead, after: this.space.through(unbroken, transition.rest) };
  }

  back({ transition, ahead, after }: Way, states: Ref): Ref {
    const { factoring } = this.space;
    const part = factoring.and(after.at(-1)!, states);
    if (part.core === EMPTY) return EMPTY;
    const target = this.space.backThrough(part, transition.rest, after);
    return factoring.plain(this.space.backThrough(target, transition.operations, ahead));
  }

  /**
   * The states at the beginning of each step from which exactly these steps lead to what is asked for, and that itself.
   * Undefined where no start can go them all.
   */
  setsAlong(
    steps: readonly { readonly transition: Transition }[],
    asked: Ref,
    endsAtMoment: boolean,
  ): readonly Factored[] | undefined {
    const walk = new Walk(this.space, this.start);
    for (const [index, { transition }] of steps.entries()) {
      const { core } = walk.go(transition, endsAtMoment && index === steps.length - 1);
      if (core === EMPTY) return undefined;
    }
    return walk.into(asked);
  }

  /** States at the moment of an edge, ahead of what is dropped after it. */
  momentsOf(edge: Edge): Ref {
    const { factoring } = this.space;
    return factoring.plain(factoring.forward(this.met[edge.from.id]!, this.transitions.of(edge).operations));
  }
}

function joined(some: readonly Transition[], more: readonly Transition[]): readonly Transition[] {
  if (some === more || more.length === 0) return some;
  return some.length === 0 ? more : [...new Set([...some, ...more])];
}
