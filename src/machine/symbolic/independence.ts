import { FALSE, type Variable, variablesOf } from "../expression.js";
import type { Edge, Node } from "../graph/graph.js";
import { assigned, type Choice } from "../operation.js";
import { readBy } from "../slice.js";
import type { Transition, Transitions } from "../transitions.js";

/**
 * Which pauses an act makes worth a look. Where an act and a change touch nothing in common, it is all one which comes first
 * (Mazurkiewicz 1977): states that were closed under the change stay so under the act. Only the changes that depend on the act,
 * and those that depend on these, can lead to anything new after it.
 */
export class Independence {
  private readonly prints = new Map<Transition, Footprint>();
  private readonly dependents = new Map<Transition, Map<readonly Transition[], readonly Transition[]>>();
  private readonly pairs = new Map<Transition, Map<Transition, boolean>>();
  private readonly needs = new Map<Edge, { readonly to: Node; readonly pauses: readonly Transition[] }>();
  private readonly ready = new Map<readonly Transition[], boolean>();

  constructor(private readonly transitions: Transitions) {}

  /** The pauses at a place that the states which an edge brings there have to be carried through. */
  after(edge: Edge, to: Node): readonly Transition[] {
    const known = this.needs.get(edge);
    if (known?.to === to) return known.pauses;
    const pauses = this.compute(edge, to);
    this.needs.set(edge, { to, pauses });
    return pauses;
  }

  private compute(edge: Edge, to: Node): readonly Transition[] {
    const pauses = this.transitions.pausesAt(to);
    if (pauses.length === 0) return NONE;
    const closed = this.transitions.pausesAt(edge.from);
    if (pauses === closed && !this.transitions.concerns(edge) && this.areIdle(edge, pauses)) return NONE;
    const act = this.transitions.of(edge);
    const first = pauses.filter(
      (pause) => pause.broken !== FALSE || !closed.includes(pause) || this.isDependent(act, pause),
    );
    const needed = new Set(first);
    for (const pause of needed) for (const other of this.dependentsOf(pause, pauses)) needed.add(other);
    return needed.size === pauses.length ? pauses : [...needed];
  }

  /** Can it matter which of two pauses that happen at one place comes first? */
  isOrdered(one: Transition, other: Transition): boolean {
    if (one.broken !== FALSE || other.broken !== FALSE) return true;
    const row = this.pairs.get(one) ?? new Map<Transition, boolean>();
    this.pairs.set(one, row);
    const found = row.get(other) ?? this.isDependent(one, other);
    row.set(other, found);
    return found;
  }

  private areIdle(edge: Edge, pauses: readonly Transition[]): boolean {
    if (this.transitions.lead(edge).length === 0) return true;
    const known = this.ready.get(pauses) ?? pauses.every((pause) => pause.broken === FALSE && this.keepsReady(pause));
    this.ready.set(pauses, known);
    return known;
  }

  private dependentsOf(pause: Transition, pauses: readonly Transition[]): readonly Transition[] {
    const rows = this.dependents.get(pause) ?? new Map<readonly Transition[], readonly Transition[]>();
    this.dependents.set(pause, rows);
    const row = rows.get(pauses) ?? pauses.filter((other) => this.isDependent(pause, other));
    rows.set(pauses, row);
    return row;
  }

  private isDependent(one: Transition, other: Transition): boolean {
    if (one.operations === this.transitions.untilReady && one.rest.length === 0) return !this.keepsReady(other);
    const [a, b] = [this.printOf(one), this.printOf(other)];
    if (meets(a.writes, b.reads) || meets(b.writes, a.reads) || clash(a.writes, b.writes)) return true;
    return a.waitsUntilReady && !this.keepsReady(other);
  }

  /**
   * Does a change leave those states ready that are? Then an act that waits for it can come before or after it. What it arms
   * begins its time anew, and has yet to come to its end.
   */
  private keepsReady(pause: Transition): boolean {
    const { writes } = this.printOf(pause);
    return [...variablesOf(this.transitions.model.dynamics.instant)].every((variable) => !writes.has(variable.index));
  }

  private printOf(transition: Transition): Footprint {
    const known = this.prints.get(transition);
    if (known) return known;
    const made = footprintOf(transition, this.transitions);
    this.prints.set(transition, made);
    return made;
  }
}

const NONE: readonly Transition[] = [];

const SOMEHOW = -1;

/** What a transition reads and writes, by index of the variable; what it only remembers for itself is neither. */
interface Footprint {
  readonly reads: ReadonlySet<number>;
  /** The value that is written, if it is that and no other; else `SOMEHOW`. */
  readonly writes: ReadonlyMap<number, number>;
  readonly waitsUntilReady: boolean;
}

function footprintOf(transition: Transition, transitions: Transitions): Footprint {
  const reads = new Set<number>();
  const writes = new Map<number, number>();
  const read = (variables: Iterable<Variable>) => {
    for (const variable of variables) if (lasts(variable)) reads.add(variable.index);
  };
  const { untilReady } = transitions;
  for (const operation of [...transition.operations, ...transition.rest]) {
    if (untilReady.includes(operation)) continue;
    const value = operation.kind === "assign" ? operation.value : SOMEHOW;
    for (const variable of assigned(operation)) {
      if (!lasts(variable)) continue;
      const present = writes.get(variable.index);
      writes.set(variable.index, present === undefined || present === value ? value : SOMEHOW);
    }
    read(readBy(operation));
    if (operation.kind === "settle") settle(transitions, read, writes);
  }
  read(variablesOf(transition.broken));
  return { reads, writes, waitsUntilReady: transition.operations.some((one) => untilReady.includes(one)) };
}

/** The immediate changes that what was written so far can set going. */
function settle(
  transitions: Transitions,
  read: (variables: Iterable<Variable>) => void,
  writes: Map<number, number>,
): void {
  const going = new Set<Choice>();
  for (let grown = true; grown; ) {
    grown = false;
    for (const choice of transitions.settling.choices) {
      if (going.has(choice) || !choice.some(({ when }) => [...variablesOf(when)].some((one) => writes.has(one.index))))
        continue;
      going.add(choice);
      writes.set(choice[0]!.assign[0]!.variable.index, SOMEHOW);
      grown = true;
    }
  }
  for (const choice of going) for (const { when } of choice) read(variablesOf(when));
}

function lasts(variable: Variable): boolean {
  return variable.role.kind !== "before";
}

function meets(writes: ReadonlyMap<number, number>, reads: ReadonlySet<number>): boolean {
  for (const index of writes.keys()) if (reads.has(index)) return true;
  return false;
}

/** Both write one thing, and not the same to it. */
function clash(one: ReadonlyMap<number, number>, other: ReadonlyMap<number, number>): boolean {
  for (const [index, value] of one) {
    const wanted = other.get(index);
    if (wanted !== undefined && (value === SOMEHOW || wanted !== value)) return true;
  }
  return false;
}
