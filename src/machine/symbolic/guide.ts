import type { Edge, Node } from "../graph/graph.js";
import type { Transition } from "../transitions.js";
import { EMPTY, type Ref } from "./bdd.js";
import type { Goal } from "./goal.js";
import type { Search, Way } from "./search.js";

/**
 * How many moments a goal is away at least, judged in a slice of the model. What a slice leaves out only makes ways shorter, so a
 * search of the whole can leave out every state that is too far from the goal here.
 */
export class Guide {
  /** By moments, then by node id: the states that are no farther away. */
  private readonly near: (readonly Ref[])[] = [];
  private fresh = new Map<Node, Ref>();
  private readonly memo = new Map<string, Ref>();
  private readonly ways = new Map<Node, Map<Transition, Way>>();

  /** `slice` has been run; the goal is in its terms. */
  constructor(
    private readonly slice: Search,
    private readonly goal: Goal,
  ) {}

  /** How many moments the goal is away from the nearest start; undefined where no way leads there. */
  get fromStart(): number | undefined {
    const { bdd } = this.slice.space;
    const { start } = this.slice.transitions.model.graph;
    for (let moments = 0; ; moments++) {
      const near = this.within(moments);
      if (bdd.and(near[start.id]!, this.slice.start) !== EMPTY) return moments;
      if (this.fresh.size === 0 && moments > 0) return undefined;
    }
  }

  /** The states of a place that are no farther away than so many moments, in the terms of another search. */
  at(id: number, moments: number, { space }: Search): Ref {
    if (moments < 0) return EMPTY;
    const key = `${id} ${moments}`;
    const known = this.memo.get(key);
    if (known !== undefined) return known;
    const made = space.taken(this.within(moments)[id]!, this.slice.space);
    this.memo.set(key, made);
    return made;
  }

  private within(moments: number): readonly Ref[] {
    while (this.near.length <= moments) {
      const done = this.near.length > 1 && this.fresh.size === 0;
      this.near.push(done ? this.near.at(-1)! : this.oneMore());
    }
    return this.near[moments]!;
  }

  private oneMore(): readonly Ref[] {
    const moments = this.near.length;
    const near =
      moments === 0 ? this.slice.transitions.model.graph.nodes.map(() => EMPTY) : [...this.near[moments - 1]!];
    const before = this.fresh;
    this.fresh = new Map();
    if (moments === 0) for (const [node, states] of this.atPlaces()) this.add(near, node, states);
    if (moments < 2) this.addMoments(near, moments);
    for (const [node, states] of before) {
      for (const pause of this.slice.transitions.pausesAt(node)) this.add(near, node, this.before(node, pause, states));
      for (const edge of this.slice.edgesTo(node)) if (edge.kind === "act") this.addEdge(near, edge, states);
    }
    this.close(near);
    return near;
  }

  /** Free edges lead on within the moment. */
  private close(near: Ref[]): void {
    const { bdd } = this.slice.space;
    const pending = new Map(this.fresh);
    for (let next = pending.entries().next(); !next.done; next = pending.entries().next()) {
      const [node, states] = next.value;
      pending.delete(node);
      for (const edge of this.slice.edgesTo(node)) {
        const more = edge.kind === "act" ? EMPTY : this.addEdge(near, edge, states);
        if (more !== EMPTY) pending.set(edge.from, bdd.or(pending.get(edge.from) ?? EMPTY, more));
      }
    }
  }

  private *atPlaces(): Iterable<readonly [Node, Ref]> {
    const { nodes } = this.slice.transitions.model.graph;
    for (const [id, asked] of this.goal.atPlace)
      yield [nodes[id]!, this.slice.space.bdd.and(this.slice.reachedAt(id), asked)];
  }

  /** States from which the very next moment is asked for, or is at once where it takes none. */
  private addMoments(near: Ref[], moments: number): void {
    const { transitions, space } = this.slice;
    for (const node of transitions.model.graph.nodes) {
      const from = this.slice.reachedAt(node.id);
      if (from === EMPTY) continue;
      const edges = this.slice.edgesFrom(node).filter((edge) => (edge.kind === "act") === (moments === 1));
      const ways = edges.filter((edge) => transitions.concerns(edge)).map((edge) => transitions.of(edge));
      for (const way of moments === 1 ? [...ways, ...transitions.pausesAt(node)] : ways) {
        const asked = this.askedAt(way);
        if (asked !== EMPTY) this.add(near, node, space.backwardWithin(asked, way.operations, from));
      }
    }
  }

  private askedAt(way: Transition): Ref {
    const { bdd } = this.slice.space;
    const broken = this.goal.atBreach?.(way) ? this.slice.space.set(way.broken) : EMPTY;
    return bdd.or(broken, this.goal.atMoment?.(way) ?? EMPTY);
  }

  private addEdge(near: Ref[], edge: Edge, states: Ref): Ref {
    const { transitions } = this.slice;
    if (!transitions.concerns(edge) && transitions.lead(edge).length === 0) return this.add(near, edge.from, states);
    return this.add(near, edge.from, this.before(edge.from, transitions.of(edge), states));
  }

  private before(from: Node, transition: Transition, states: Ref): Ref {
    const row = this.ways.get(from) ?? new Map<Transition, Way>();
    this.ways.set(from, row);
    const way = row.get(transition) ?? this.slice.way(transition, this.slice.reachedAt(from.id));
    row.set(transition, way);
    return this.slice.back(way, states);
  }

  private add(near: Ref[], node: Node, states: Ref): Ref {
    const { bdd } = this.slice.space;
    const met = bdd.and(states, this.slice.reachedAt(node.id));
    const more = bdd.diff(met, near[node.id]!);
    if (more === EMPTY) return EMPTY;
    near[node.id] = bdd.or(near[node.id]!, more);
    this.fresh.set(node, bdd.or(this.fresh.get(node) ?? EMPTY, more));
    return more;
  }
}
