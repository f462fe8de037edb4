import { type Variable, variablesOf } from "../expression.js";
import type { Node } from "../graph/graph.js";
import { assigned, type Operation, type Settling } from "../operation.js";
import { readBy } from "../slice.js";
import type { Transition, Transitions } from "../transitions.js";
import type { Bits, Places } from "./places.js";

/**
 * Which variables are still read after a place, by what comes later or by a question, before they are given a new value. What
 * is not need not be told apart there: states that agree on the others go the same ways (Aho, Lam, Sethi and Ullman 2006, 9.2.5).
 */
export class Liveness {
  private readonly numbers: ReadonlyMap<Variable, number>;
  private readonly words: number;
  private readonly uses = new Map<Transition, Use>();
  /** By node id. */
  private readonly live: Uint32Array[];
  /** By node id, once it is asked for; most places have it in common with others. */
  private readonly dead: Bits[] = [];
  private readonly shared = new Map<string, Bits>();

  constructor(
    private readonly transitions: Transitions,
    private readonly places: Places,
    asked: (id: number) => Iterable<Variable>,
  ) {
    const { graph } = transitions.model;
    this.numbers = new Map(places.variables.map((variable, number) => [variable, number]));
    this.words = Math.ceil(places.variables.length / 32);
    this.live = graph.nodes.map((node) => this.setOf(asked(node.id)));
    for (const node of graph.nodes) this.readInPauses(node);
    for (let grown = true; grown; ) {
      grown = false;
      for (let at = graph.ranked.length - 1; at >= 0; at--) grown = this.readAfter(graph.ranked[at]!) || grown;
    }
  }

  /** The bits that no longer count at a place. */
  deadAt({ id }: Node): Bits {
    const known = this.dead[id];
    if (known) return known;
    const live = this.live[id]!;
    const key = live.join(" ");
    const made =
      this.shared.get(key) ?? this.places.bitsOf(this.places.variables.filter((_, number) => !has(live, number)));
    this.shared.set(key, made);
    this.dead[id] = made;
    return made;
  }

  private readInPauses(node: Node): void {
    const live = this.live[node.id]!;
    for (const pause of this.transitions.pausesAt(node)) join(live, this.useOf(pause).read);
  }

  /** Adds what is live after the edges of a place and not given a new value by them; true where that is more. */
  private readAfter(node: Node): boolean {
    const live = this.live[node.id]!;
    let grown = false;
    for (const edge of this.transitions.model.graph.outgoing.get(node) ?? []) {
      const { read, written } = this.useOf(this.transitions.of(edge));
      const after = this.live[edge.to.id]!;
      for (let word = 0; word < this.words; word++) {
        const more = live[word]! | read[word]! | (after[word]! & ~written[word]!);
        if (more >>> 0 === live[word]) continue;
        live[word] = more;
        grown = true;
      }
    }
    return grown;
  }

  private useOf(transition: Transition): Use {
    const known = this.uses.get(transition);
    if (known) return known;
    const use: Use = { read: new Uint32Array(this.words), written: new Uint32Array(this.words) };
    this.goBack(use, transition.rest);
    join(use.read, this.setOf(variablesOf(transition.broken)));
    this.goBack(use, transition.operations);
    this.uses.set(transition, use);
    return use;
  }

  private goBack({ read, written }: Use, operations: readonly Operation[]): void {
    for (let at = operations.length - 1; at >= 0; at--) {
      const operation = operations[at]!;
      for (const variable of renewedBy(operation)) {
        const number = this.numbers.get(variable);
        if (number === undefined) continue;
        written[number >> 5]! |= 1 << (number & 31);
        read[number >> 5]! &= ~(1 << (number & 31));
      }
      join(
        read,
        this.setOf(
          operation.kind === "settle"
            ? readBySettling(operation.among ?? this.transitions.settling)
            : readBy(operation),
        ),
      );
    }
  }

  private setOf(variables: Iterable<Variable>): Uint32Array {
    const set = new Uint32Array(this.words);
    for (const variable of variables) {
      const number = this.numbers.get(variable);
      if (number !== undefined) set[number >> 5]! |= 1 << (number & 31);
    }
    return set;
  }
}

/** What a transition reads before it gives it a new value, and what it gives a new value whatever was before. */
interface Use {
  readonly read: Uint32Array;
  readonly written: Uint32Array;
}

function* readBySettling({ choices }: Settling): Iterable<Variable> {
  for (const choice of choices) for (const { when } of choice) yield* variablesOf(when);
}

function renewedBy(operation: Operation): readonly Variable[] {
  return operation.kind === "choose" ? [] : assigned(operation);
}

function has(set: Uint32Array, number: number): boolean {
  return (set[number >> 5]! & (1 << (number & 31))) !== 0;
}

function join(set: Uint32Array, more: Uint32Array): void {
  for (let word = 0; word < set.length; word++) set[word]! |= more[word]!;
}
