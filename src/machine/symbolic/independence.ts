import { FALSE, type Variable, variablesOf } from "../expression.js";
import type { Edge } from "../graph/graph.js";
import { assigned } from "../operation.js";
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
  private readonly needs = new Map<Edge, readonly Transition[]>();

  constructor(private readonly transitions: Transitions) {}

  /** The pauses at the end of an edge that the states which it brings there have to be carried through. */
  after(edge: Edge): readonly Transition[] {
    const known = this.needs.get(edge);
    if (known) return known;
    const made = this.compute(edge);
    this.needs.set(edge, made);
    return made;
  }

  private compute(edge: Edge): readonly Transition[] {
    const pauses = this.transitions.pausesAt(edge.to);
    const closed = this.transitions.pausesAt(edge.from);
    const act = this.transitions.of(edge);
    if (pauses === closed && act.operations.length === 0 && act.rest.length === 0) return [];
    const first = pauses.filter(
      (pause) => pause.broken !== FALSE || !closed.includes(pause) || this.isDependent(act, pause),
    );
    const needed = new Set(first);
    for (const pause of needed) for (const other of this.dependentsOf(pause, pauses)) needed.add(other);
    return needed.size === pauses.length ? pauses : [...needed];
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
    return [...variablesOf(this.transitions.model.dynamics.instant)].every((variable) => !writes[variable.index]);
  }

  private printOf(transition: Transition): Footprint {
    const known = this.prints.get(transition);
    if (known) return known;
    const made = footprintOf(transition, this.transitions);
    this.prints.set(transition, made);
    return made;
  }
}

const SOMEHOW = 1;

/** What a transition reads and writes, by index of the variable; what it only remembers for itself is neither. */
interface Footprint {
  readonly reads: Uint8Array;
  /** 0: not written. A value plus 2: that value and no other. `SOMEHOW`: anything else. */
  readonly writes: Int16Array;
  readonly waitsUntilReady: boolean;
}

function footprintOf(transition: Transition, transitions: Transitions): Footprint {
  const size = transitions.model.world.variables.length;
  const reads = new Uint8Array(size);
  const writes = new Int16Array(size);
  const read = (variables: Iterable<Variable>) => {
    for (const variable of variables) if (lasts(variable)) reads[variable.index] = 1;
  };
  const { untilReady } = transitions;
  for (const operation of [...transition.operations, ...transition.rest]) {
    if (untilReady.includes(operation)) continue;
    const value = operation.kind === "assign" ? operation.value + 2 : SOMEHOW;
    for (const variable of assigned(operation)) {
      if (!lasts(variable)) continue;
      const present = writes[variable.index]!;
      writes[variable.index] = present === 0 || present === value ? value : SOMEHOW;
    }
    read(readBy(operation));
    if (operation.kind === "settle") settle(transitions, reads, writes);
  }
  read(variablesOf(transition.broken));
  return { reads, writes, waitsUntilReady: transition.operations.some((one) => untilReady.includes(one)) };
}

/** The immediate changes that what was written so far can set going. */
function settle(transitions: Transitions, reads: Uint8Array, writes: Int16Array): void {
  for (let grown = true; grown; ) {
    grown = false;
    for (const choice of transitions.settling.choices) {
      const variable = choice[0]!.assign[0]!.variable;
      if (writes[variable.index] === SOMEHOW) continue;
      if (!choice.some(({ when }) => [...variablesOf(when)].some((one) => writes[one.index]))) continue;
      writes[variable.index] = SOMEHOW;
      grown = true;
    }
  }
  for (const choice of transitions.settling.choices) {
    if (writes[choice[0]!.assign[0]!.variable.index] !== SOMEHOW) continue;
    for (const { when } of choice) for (const one of variablesOf(when)) reads[one.index] = 1;
  }
}

function lasts(variable: Variable): boolean {
  return variable.role.kind !== "before";
}

function meets(writes: Int16Array, reads: Uint8Array): boolean {
  for (let at = 0; at < writes.length; at++) if (writes[at] && reads[at]) return true;
  return false;
}

/** Both write one thing, and not the same to it. */
function clash(one: Int16Array, other: Int16Array): boolean {
  for (let at = 0; at < one.length; at++)
    if (one[at] && other[at] && (one[at] === SOMEHOW || one[at] !== other[at])) return true;
  return false;
}
