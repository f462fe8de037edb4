import { invariant } from "../invariant.js";
import { and, type Expression, FALSE, not, or, TRUE, type Variable, variablesOf } from "./expression.js";
import type { Edge, Node } from "./graph/graph.js";
import type { Model } from "./model.js";
import { assign, assigned, assume, type Choice, type Operation, type Settling } from "./operation.js";
import type { Space } from "./symbolic/space.js";
import type { Delayed } from "./world/dynamics.js";
import type { Memory } from "./world/memory.js";

/** A memory that judges: `broken` is read at each moment before its own memory is brought up to date. */
export interface Monitor extends Memory {
  readonly broken: Expression;
  /** Its first values, given to the start states. */
  readonly start: readonly Operation[];
  /** What a tick does to its clocks. */
  readonly ticks?: readonly Operation[];
  /** What an edge does to it ahead of the judgement: stated times add up here. */
  readonly along?: (edge: Edge) => readonly Operation[];
  /** The same for what happens in a pause. */
  readonly inPause?: readonly Operation[];
  /** What it does where lanes become one line again. */
  readonly atJoin?: readonly Operation[];
}

/**
 * One way from moment to moment (a `pass` makes no moment). `operations` lead to the moment itself, where a monitor
 * judges; `rest` brings the monitors up to date and drops what was only remembered for the step.
 */
export interface Transition {
  readonly operations: readonly Operation[];
  /** Where settling comes among the operations. */
  readonly settlesAt?: number;
  readonly broken: Expression;
  readonly rest: readonly Operation[];
  readonly cause: Cause;
  /** Conditions that were left out because they name variables outside the slice. */
  readonly dropped: readonly Expression[];
}

export type Cause =
  | { readonly kind: "edge"; readonly edge: Edge }
  | { readonly kind: "change"; readonly delayed: Delayed }
  | { readonly kind: "move"; readonly gauge: string };

/** What follows where some variables are assigned. */
interface Consequences {
  /** They, and what can change by them. */
  readonly touched: ReadonlySet<Variable>;
  /** What has to be kept of the moment before, and the variables that it is kept in. */
  readonly remembered: readonly Operation[];
  readonly scratch: readonly Variable[];
  /** Empty where nothing can fire. */
  readonly settling: readonly Operation[];
  /** What the memories then do. */
  readonly after: readonly Operation[];
  readonly broken: Expression;
  readonly rest: readonly Operation[];
}

/** The transitions of a model under some monitors; with a slice, only what touches its variables. */
export class Transitions {
  private readonly pauses = new Map<string, readonly Transition[]>();
  /** By node id. */
  private readonly pausesOf: (readonly Transition[] | undefined)[] = [];
  /** By edge id. */
  private concerned: Uint8Array | undefined;
  /** By edge id. */
  private readonly ofEdge: (Transition | undefined)[] = [];
  private readonly touchedAt = new Map<Edge, ReadonlySet<Variable>>();
  private readonly memories: readonly Memory[];
  private readonly atAct: readonly Operation[];
  private readonly inPause: readonly Operation[];
  private readonly immediate: readonly Choice[];
  private readonly hasClocks: boolean;
  private readiness: readonly Operation[] | undefined;
  private settles: Settling | undefined;
  private readonly settlings: Settling[] = [];
  /** By the indices of what was assigned. */
  private readonly following = new Map<string, Consequences>();
  private readonly reaching = new Map<Variable, ReadonlySet<Variable>>();

  constructor(
    readonly model: Model,
    readonly monitors: readonly Monitor[],
    /** Absent: every variable counts. */
    readonly slice?: ReadonlySet<Variable>,
    /** Those of the same slice with no monitors: what no monitor is concerned with is taken from there. */
    private readonly plain?: Transitions,
  ) {
    this.memories = model.memories.filter((memory) => memory.variables.some((variable) => this.counts(variable)));
    const ticks = [...model.ticks, ...monitors.flatMap((monitor) => monitor.ticks ?? [])];
    this.hasClocks = ticks.some((operation) => assigned(operation).some((variable) => this.counts(variable)));
    this.atAct = this.memories.flatMap((memory) => memory.atAct ?? []);
    this.inPause = monitors.flatMap((monitor) => monitor.inPause ?? []);
    this.immediate = model.dynamics.immediate
      .map((piece) => piece.choice)
      .filter((choice) => this.counts(choice[0]!.assign[0]!.variable));
  }

  counts(variable: Variable): boolean {
    return !this.slice || this.slice.has(variable);
  }

  get settling(): Settling {
    this.settles ??= settlingOf(this.immediate);
    return this.settles;
  }

  /** What can fire where so much has changed since all was settled. */
  private settlingAfter(touched: ReadonlySet<Variable>): Settling | undefined {
    const { unsettling } = this.model;
    const choices = this.immediate.filter((choice) =>
      choice.some(({ when }) => meets(variablesOf(when), touched) || meets(variablesOf(when), unsettling)),
    );
    if (choices.length === 0) return undefined;
    if (choices.length === this.immediate.length) return this.settling;
    const known = this.settlings.find(
      (one) => one.choices.length === choices.length && one.choices.every((choice, at) => choice === choices[at]),
    );
    if (known) return known;
    const made = settlingOf(choices);
    this.settlings.push(made);
    return made;
  }

  start(): readonly Expression[] {
    return this.model.start.map((part) => this.relax(part));
  }

  of(edge: Edge): Transition {
    const present = this.ofEdge[edge.id];
    if (present) return present;
    const made = this.plain && !this.isWatched(edge, this.plain) ? this.plain.of(edge) : this.make(edge);
    this.ofEdge[edge.id] = made;
    return made;
  }

  private make(edge: Edge): Transition {
    return this.concerns(edge) ? this.expand({ kind: "edge", edge }) : this.idleMoment({ kind: "edge", edge });
  }

  /** Does a monitor judge or count anything on an edge? */
  private isWatched(edge: Edge, plain: Transitions): boolean {
    const touched = plain.touchedOn(edge);
    return this.monitors.some(
      (monitor) =>
        (edge.kind === "tick" && monitor.ticks) ||
        (edge.kind !== "pass" && monitor.along?.(edge).length) ||
        (edge.joins && monitor.atJoin) ||
        meets(monitor.inputs, touched),
    );
  }

  private touchedOn(edge: Edge): ReadonlySet<Variable> {
    const known = this.touchedAt.get(edge);
    if (known) return known;
    const own = this.keepAll(this.bodyOf({ kind: "edge", edge }, false).body, []);
    const { touched } = this.consequencesOf(own, this.learned(edge));
    this.touchedAt.set(edge, touched);
    return touched;
  }

  /** What may happen in a pause here, one at a time: armed delayed changes, moves of gauges. */
  pausesAt(node: Node): readonly Transition[] {
    const known = this.pausesOf[node.id];
    if (known) return known;
    const found = node.isUrgent ? NONE : this.pausesWith(node);
    this.pausesOf[node.id] = found;
    return found;
  }

  private pausesWith(node: Node): readonly Transition[] {
    const key = [...node.moves].sort().join(" ");
    const present = this.pauses.get(key);
    if (present) return present;
    const changes = this.model.dynamics.delayed
      .filter((delayed) =>
        delayed.fire.some((operation) => operation.kind === "assign" && this.counts(operation.variable)),
      )
      .map((delayed) => this.expand({ kind: "change", delayed }));
    const gauges = [...new Set([...this.model.gauges.keys(), ...node.moves])].filter((gauge) => this.isSeen(gauge));
    const moves = gauges.map((gauge) => this.expand({ kind: "move", gauge }, node.moves.has(gauge)));
    const made = [...changes, ...moves];
    this.pauses.set(key, made);
    return made;
  }

  /** The states of a space with which the procedure can start, monitors and memories at their first values. */
  startIn(space: Space): number {
    const states = space.setOfAll(this.start());
    return this.monitors.reduce((set, monitor) => space.forward(set, monitor.start), states);
  }

  /** Can the edge change, or depend on, anything that counts? */
  concerns(edge: Edge): boolean {
    if (!this.slice) return true;
    this.concerned ??= this.edgesConcerned(this.slice);
    return this.concerned[edge.id] === 1;
  }

  private edgesConcerned(slice: ReadonlySet<Variable>): Uint8Array {
    const { model, monitors, memories } = this;
    const { edges } = model.graph;
    const found = new Uint8Array((edges.at(-1)?.id ?? 0) + 1);
    for (const variable of slice) for (const edge of model.naming.get(variable) ?? []) found[edge.id] = 1;
    for (const edge of model.impassable) found[edge.id] = 1;
    const everyAct = memories.some((memory) => memory.atAct);
    const watching = monitors.filter((monitor) => monitor.along);
    const joining = monitors.some((monitor) => monitor.atJoin);
    if (!everyAct && watching.length === 0 && !joining && !this.hasClocks) return found;
    for (const edge of edges) {
      const isMoment = edge.kind !== "pass";
      if (isMoment && (everyAct || watching.some((monitor) => monitor.along!(edge).length > 0))) found[edge.id] = 1;
      if (edge.kind === "tick" && this.hasClocks) found[edge.id] = 1;
      if (edge.joins && joining) found[edge.id] = 1;
    }
    return found;
  }

  /** The transition of the same cause among these. */
  like(from: Node, transition: Transition): Transition {
    const { cause } = transition;
    if (cause.kind === "edge") return this.of(cause.edge);
    const found = this.pausesAt(from).find((other) =>
      cause.kind === "change"
        ? other.cause.kind === "change" && other.cause.delayed === cause.delayed
        : other.cause.kind === "move" && other.cause.gauge === cause.gauge,
    );
    invariant(found, "a change of a slice is one of the whole");
    return found;
  }

  /** What comes first on an edge, and is all that is done where it concerns nothing that counts: acts and demands wait until ready. */
  lead(edge: Edge): readonly Operation[] {
    return edge.kind === "pass" && edge.after === TRUE ? NONE : this.untilReady;
  }

  /** A moment at which nothing that counts changes. */
  private idleMoment(cause: Extract<Cause, { kind: "edge" }>): Transition {
    const { edge } = cause;
    const dropped = edge.after === TRUE ? [] : [edge.after];
    for (const operation of edge.operations) if (operation.kind === "assume") dropped.push(operation.condition);
    return { operations: this.lead(edge), broken: FALSE, rest: NONE, cause, dropped };
  }

  /** No change of what counts has to come first: assumed ahead of every act. */
  get untilReady(): readonly Operation[] {
    this.readiness ??= this.keepAll([assume(not(this.model.dynamics.forced))], []);
    return this.readiness;
  }

  private isSeen(gauge: string): boolean {
    const { world } = this.model;
    const moved = world.gauges.moved(gauge)?.variables ?? [];
    const known = world.known.get(gauge);
    return moved.some((variable) => this.counts(variable)) || (known !== undefined && this.counts(known.mark));
  }

  private expand(cause: Cause, free = false): Transition {
    const dropped: Expression[] = [];
    const { guard, body: bodyAlone, after } = this.bodyOf(cause, free);
    const body = cause.kind === "edge" ? bodyAlone : [...bodyAlone, ...this.inPause];
    const lead = cause.kind === "edge" ? this.lead(cause.edge) : this.keepAll([assume(guard)], dropped);
    const own = this.keepAll(body, dropped);
    const isMoment = cause.kind !== "edge" || cause.edge.kind !== "pass";
    if (!isMoment) {
      return {
        operations: [...lead, ...own, ...this.keepAll([assume(after)], dropped)],
        broken: FALSE,
        rest: [],
        cause,
        dropped,
      };
    }
    const learned = cause.kind === "edge" ? this.learned(cause.edge) : [];
    const atAct = cause.kind === "edge" ? this.atAct : NONE;
    const { remembered, scratch, settling, after: updates, broken, rest } = this.consequencesOf(own, learned);
    const ahead = [
      ...lead,
      ...remembered,
      ...own.filter((operation) => !isScratch(operation) || scratch.includes(operation.variable)),
    ];
    return {
      ...(settling.length > 0 ? { settlesAt: ahead.length } : {}),
      operations: [...ahead, ...settling, ...atAct, ...updates, ...learned, ...this.keepAll([assume(after)], dropped)],
      broken,
      rest,
      cause,
      dropped,
    };
  }

  private bodyOf(cause: Cause, free: boolean): { guard: Expression; body: readonly Operation[]; after: Expression } {
    const { world, ticks, gauges } = this.model;
    switch (cause.kind) {
      case "edge": {
        const { edge } = cause;
        const ofMonitors = this.ofMonitors(edge);
        const ofTime = edge.kind === "tick" ? ticks : NONE;
        const isBare = ofMonitors.length === 0 && ofTime.length === 0;
        const body = isBare ? edge.operations : [...edge.operations, ...ofTime, ...ofMonitors];
        return { guard: TRUE, body, after: edge.after };
      }
      case "change":
        return { guard: cause.delayed.mayFire, body: cause.delayed.fire, after: TRUE };
      case "move": {
        const moved = world.gauges.moved(cause.gauge);
        const known = world.known.get(cause.gauge);
        const body: Operation[] = known ? [assign(known.mark, 0)] : [];
        if (moved) body.unshift({ kind: "havoc", variables: moved.variables, constraint: moved.constraint });
        const guard = free ? TRUE : (gauges.get(cause.gauge) ?? TRUE);
        return { guard, body, after: TRUE };
      }
    }
  }

  /** What the monitors do on an edge ahead of the judgement. */
  private ofMonitors(edge: Edge): readonly Operation[] {
    const all: Operation[] = [];
    for (const { ticks, along, atJoin } of this.monitors) {
      if (edge.kind === "tick" && ticks) all.push(...ticks);
      if (edge.kind !== "pass" && along) all.push(...along(edge));
      if (edge.joins && atJoin) all.push(...atJoin);
    }
    return all;
  }

  private learned(edge: Edge): readonly Operation[] {
    if (edge.learns.length === 0) return NONE;
    return edge.learns.flatMap((thing) => {
      const known = this.model.world.known.get(thing);
      return known && this.counts(known.mark) ? [assign(known.mark, 1)] : [];
    });
  }

  /** What follows at a moment with such operations; the same follows wherever the same variables are assigned. */
  private consequencesOf(own: readonly Operation[], learned: readonly Operation[]): Consequences {
    const first = new Set<Variable>();
    for (const operation of own) for (const variable of assigned(operation)) first.add(variable);
    for (const operation of learned) for (const variable of assigned(operation)) first.add(variable);
    let key = "";
    for (const { index } of first) key += `${index} `;
    const known = this.following.get(key);
    if (known) return known;
    const touched = new Set([...first].flatMap((variable) => [...this.touchedFrom(variable)]));
    const running = this.memories.filter((memory) => meets(memory.inputs, touched));
    const judging = this.monitors.filter((monitor) => meets(monitor.inputs, touched));
    const among = this.settlingAfter(touched);
    const scratch = [...new Set([...running, ...judging].flatMap((memory) => memory.scratch))];
    const made: Consequences = {
      touched,
      remembered: unique([...running, ...judging].flatMap((memory) => memory.before)),
      scratch,
      settling: among ? [{ kind: "settle", among }] : NONE,
      after: running.flatMap((memory) => memory.after),
      broken: or(...judging.map((monitor) => monitor.broken)),
      rest: [
        ...judging.flatMap((monitor) => monitor.after),
        ...(scratch.length > 0 ? [{ kind: "forget", variables: scratch } as const] : []),
      ],
    };
    this.following.set(key, made);
    return made;
  }

  /** The variable, and those that settling after it and the memories after that can change. */
  private touchedFrom(variable: Variable): ReadonlySet<Variable> {
    const known = this.reaching.get(variable);
    if (known) return known;
    const touched = new Set([variable]);
    for (const one of touched) {
      for (const choice of this.immediate)
        if (choice.some(({ when }) => variablesOf(when).has(one))) touched.add(choice[0]!.assign[0]!.variable);
      for (const { inputs, variables } of this.memories)
        if (inputs.has(one)) for (const other of variables) touched.add(other);
    }
    this.reaching.set(variable, touched);
    return touched;
  }

  /** The operation as far as it concerns the slice. */
  private keep(operation: Operation, dropped: Expression[]): Operation | undefined {
    if (operation.kind === "assume") {
      const relaxed = this.relax(operation.condition, dropped);
      return relaxed === TRUE ? undefined : relaxed === operation.condition ? operation : assume(relaxed);
    }
    if (!this.slice || operation.kind === "settle") return operation;
    if (operation.kind === "assign") return this.slice.has(operation.variable) ? operation : undefined;
    if (operation.kind === "havoc") {
      const variables = operation.variables.filter((variable) => this.counts(variable));
      return variables.length > 0
        ? { kind: "havoc", variables, constraint: this.relax(operation.constraint) }
        : undefined;
    }
    return assigned(operation).some((variable) => this.counts(variable)) ? operation : undefined;
  }

  private keepAll(operations: readonly Operation[], dropped: Expression[]): readonly Operation[] {
    const kept: Operation[] = [];
    for (const operation of operations) {
      const one = this.keep(operation, dropped);
      if (one) kept.push(one);
    }
    return kept;
  }

  private isInside(expression: Expression): boolean {
    for (const variable of variablesOf(expression)) if (!this.counts(variable)) return false;
    return true;
  }

  /** What of a condition speaks of the slice: weaker than the condition, or the condition itself. */
  private relax(expression: Expression, dropped: Expression[] = []): Expression {
    if (!this.slice) return expression;
    if (this.isInside(expression)) return expression;
    if (expression.kind === "and") return and(...expression.of.map((part) => this.relax(part, dropped)));
    if (expression.kind === "not" && expression.of.kind === "or") {
      return and(...expression.of.of.map((part) => this.relax(not(part), dropped)));
    }
    dropped.push(expression);
    return TRUE;
  }
}

function settlingOf(choices: readonly Choice[]): Settling {
  return { choices, settled: and(...choices.flatMap((choice) => choice.map(({ when }) => not(when)))) };
}

const NONE: readonly never[] = [];

function isScratch(operation: Operation): operation is Extract<Operation, { kind: "assign" }> {
  return operation.kind === "assign" && operation.variable.role.kind === "before";
}

function meets(one: ReadonlySet<Variable>, other: ReadonlySet<Variable>): boolean {
  for (const variable of one) if (other.has(variable)) return true;
  return false;
}

/** One `remember` or `copy` for each scratch variable. */
function unique(operations: readonly Operation[]): readonly Operation[] {
  const seen = new Set<Variable>();
  return operations.filter((operation) => {
    const [variable] = assigned(operation);
    if (!variable || seen.has(variable)) return variable === undefined;
    seen.add(variable);
    return true;
  });
}
