import { and, type Expression, equals, FALSE, not, or, type Variable } from "../../machine/expression.js";
import type { Edge } from "../../machine/graph/graph.js";
import { buildModel } from "../../machine/model.js";
import { EMPTY, NodeLimit, type Ref } from "../../machine/symbolic/bdd.js";
import { OutOfTime, type Search } from "../../machine/symbolic/search.js";
import type { Condition } from "../../program/condition.js";
import type { Fault, FaultRow } from "../../program/coverage.js";
import type { Procedure } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";
import type { System, Tail } from "../../program/system.js";
import { conditionsOfStep, walkCondition, walkSteps } from "../../program/walk.js";
import { type Context, contextOf, type Limits, wholeWith } from "../context.js";
import { amongOf } from "../whole/settling.js";
import { ready } from "../whole/tell.js";
import { apartFaults } from "./apart.js";
import { type Cuts, cutSearch, valuesIn } from "./cutting.js";
import { expressionOf } from "./expression-of.js";
import { faultsOf } from "./faults.js";
import { FAULT, unharmed, withFaults } from "./inject.js";
import { hasLogic, looksOf, untimed, withLights } from "./looks.js";
import { relevantFaults, type Seen } from "./relevant.js";
import { type Usual, usualAt, usualWithoutFault } from "./usual.js";
import { askedAtPlaces, neverInTime, sliceOf, stuckStates } from "./waits.js";

/** Faults looked at in one search: more make outliers (64 measured best on synthetic systems). */
const BATCH = 64;

/** Every single stuck-at fault of the system on one tail, and whether going through the procedure reveals it. */
export function faultsOnTail(context: Context, tail: Tail): readonly FaultRow[] {
  const { program, procedure, limits } = context;
  const { world } = context.model;
  const faults = faultsOf(world.system).filter(
    ({ thing, within }) => world.isFitted(thing) && (!within || world.isFitted(within)),
  );
  const relevant = relevantFaults(world.system, faults, seenIn(context));
  const asked = onAllTailsFirst(world.system, [...relevant]);
  const rows = new Map<Fault, FaultRow>();
  const usual = asked.length === 0 ? undefined : usualIn(context);
  for (let at = 0; at < asked.length; at += BATCH) {
    const batched = rowsOf({ program, procedure, tail, limits, usual }, asked.slice(at, at + BATCH));
    for (const row of batched) rows.set(row.fault, row);
  }
  const { equipment } = world.system;
  const beside = relevantFaults(
    world.system,
    faults.filter((fault) => !rows.has(fault)),
    { lights: new Set(), equipment: new Set(equipment.keys()) },
  );
  for (const row of unstarted({ program, procedure, tail, limits }, [...beside])) rows.set(row.fault, row);
  const all = faults.map((fault): FaultRow => rows.get(fault) ?? { fault, revealed: "never" });
  const never = all.flatMap(({ fault, revealed }) => (revealed === "never" ? [fault] : []));
  const apart = apartFaults(program, world.system, tail, never, limits);
  return all.map((row) => (apart.has(row.fault.id) ? { fault: row.fault, revealed: "apart" } : row));
}

/** Faults of what only some tails have stand last, so that most batches are the same on every tail. */
function onAllTailsFirst(
  { lights, conditions, controls, equipment }: System,
  faults: readonly Fault[],
): readonly Fault[] {
  const isFitted = (id: string) =>
    (lights.get(id) ?? conditions.get(id) ?? controls.get(id) ?? equipment.get(id))?.fitted === undefined;
  const isEverywhere = ({ thing, within }: Fault) => isFitted(thing) && (within === undefined || isFitted(within));
  return [...faults.filter(isEverywhere), ...faults.filter((fault) => !isEverywhere(fault))];
}

/** Lights that the procedure looks at, and the equipment on which its paths and looks depend. */
function seenIn(context: Context): Seen {
  const { world } = context.model;
  const lights = new Set<string>();
  const look = (condition: Condition) => {
    for (const atom of walkCondition(condition)) {
      if (atom.kind === "light") lights.add(atom.light);
      if (atom.kind === "named") {
        const means = world.system.conditions.get(atom.condition)?.means;
        if (means) look(means);
      }
    }
  };
  for (const step of walkSteps(context.procedure.steps)) {
    if (step.kind === "observe") for (const light of step.lights) lights.add(light);
    for (const condition of conditionsOfStep(step)) look(condition);
  }
  for (const condition of context.procedure.begins) look(condition);
  const equipment = [...sliceOf(context, [])].flatMap(({ role }) => (role.kind === "equipment" ? [role.thing] : []));
  return { lights, equipment: new Set(equipment) };
}

interface Asked {
  readonly program: Program;
  readonly procedure: Procedure;
  readonly tail: Tail;
  readonly limits: Limits;
}

interface AskedOfFaults extends Asked {
  /** Absent where a limit came first. */
  readonly usual: Usual | undefined;
}

/** What happens without any fault, where nobody answers a list that is right. */
function usualIn(context: Context): Usual | undefined {
  try {
    return usualWithoutFault(context);
  } catch (error) {
    if (!(error instanceof NodeLimit || error instanceof OutOfTime)) throw error;
    return undefined;
  }
}

/** A batch that needs too many nodes is parted. */
function rowsOf({ usual, ...asked }: AskedOfFaults, faults: readonly Fault[]): readonly FaultRow[] {
  if (!usual) return faults.map((fault) => ({ fault, revealed: "unproved" }));
  return partedRowsOf({ ...asked, usual }, faults);
}

interface AskedWith extends Asked {
  readonly usual: Usual;
}

function partedRowsOf(asked: AskedWith, faults: readonly Fault[]): readonly FaultRow[] {
  try {
    return batch(asked, faults);
  } catch (error) {
    if (!(error instanceof NodeLimit || error instanceof OutOfTime)) throw error;
    if (error instanceof OutOfTime || faults.length === 1)
      return faults.map((fault) => ({ fault, revealed: "unproved" }));
    const half = faults.length >> 1;
    return [...partedRowsOf(asked, faults.slice(0, half)), ...partedRowsOf(asked, faults.slice(half))];
  }
}

interface Answered {
  readonly tail: Tail;
  /** Fit variables that were asked for. */
  readonly fits: ReadonlySet<string>;
  readonly rows: readonly FaultRow[];
}

/** What tails before gave: those that agree on every fit variable asked for share one answer. */
const answered = new WeakMap<Procedure, Map<string, readonly Answered[]>>();

function batch(asked: AskedWith, faults: readonly Fault[]): readonly FaultRow[] {
  const { procedure, tail } = asked;
  const key = faults.map(({ id }) => id).join("\n");
  const known = answered.get(procedure) ?? new Map<string, readonly Answered[]>();
  answered.set(procedure, known);
  const before = known.get(key) ?? [];
  const twin = before.find((one) => [...one.fits].every((fit) => one.tail.fit.get(fit) === tail.fit.get(fit)));
  if (twin) return twin.rows.map((row, index) => ({ ...row, fault: faults[index]! }));
  const { fits, rows } = batchAnew(asked, faults);
  known.set(key, [...before, { tail, fits, rows }]);
  return rows;
}

function batchAnew(asked: AskedWith, faults: readonly Fault[]): Omit<Answered, "tail"> {
  const { tail, limits } = asked;
  const wired = withFaults(asked.program, asked.procedure, faults);
  const procedure = takingUp(wired.procedure, wired.system);
  const model = buildModel(wired.program, wired.system, procedure, tail);
  const fault = model.world.outside(FAULT)!;
  const plain = contextOf(wired.program, procedure, model, limits);
  const reveals = revealsOf(plain, asked.usual);
  const { waits, stuck, possible } = asked.usual;
  const usual = [...waits.values(), ...stuck.values(), possible].map((one) => model.world.lower(one));
  const names = [...reveals.at.values(), ...usual, equals(fault, 0)];
  const context = { ...plain, whole: sliceOf(plain, names) };
  const outcome = outcomeOf(context, fault, reveals, asked.usual);
  const rows = faults.map((one, index) => ({ fault: one, ...outcome.row(index) }));
  return { rows, fits: model.world.fitsConsulted };
}

/** Lights as they would be without a fault are named in `begins`, where they demand nothing, so that the model has them. */
function takingUp(procedure: Procedure, system: System): Procedure {
  const named = [...walkSteps(procedure.steps)].flatMap((step) =>
    step.kind === "check" ? [...walkCondition(step.condition)] : [],
  );
  const span = procedure.span;
  const always = { kind: "constant", value: true, span } as const;
  const begins = named.flatMap((atom): Condition[] =>
    atom.kind === "light" && system.lights.has(unharmed(atom.light))
      ? [{ kind: "or", of: [always, { ...atom, light: unharmed(atom.light) }], span }]
      : [],
  );
  return { ...procedure, begins: [...procedure.begins, ...begins] };
}

/**
 * Where a fault is seen: a list that is wrong, a check that fails and without it would not in the same state, or not in any
 * run where all that stays as it is is the same.
 */
function revealsOf(context: Context, usual: Usual): Cuts {
  const { world } = context.model;
  const looks = looksOf(context);
  const healthy = (light: string) => (hasLogic(context.model, light) ? unharmed(light) : light);
  const at = new Map(
    looks.all.map(({ edge, step, wrong, kind }): [Edge, Expression] => {
      if (kind === "list" || step.kind !== "check") return [edge, wrong];
      const passes = untimed(withLights(step.condition, healthy), world.system);
      return [edge, and(wrong, or(world.lower(passes), not(world.lower(usualAt(usual, "checks", step)))))];
    }),
  );
  return { at, closed: looks.answers };
}

interface Outcome {
  readonly row: (index: number) => Pick<FaultRow, "revealed" | "first">;
}

function outcomeOf(context: Context, fault: Variable, reveals: Cuts, usual: Usual): Outcome {
  const { world } = context.model;
  const stuck = context.model.graph.probes.flatMap((probe) =>
    probe.kind === "stuck" && probe.step ? probe.nodes.map((node) => ({ node, step: probe.step! })) : [],
  );
  const asked = askedAtPlaces(
    context,
    [fault],
    stuck.map(({ node, step }) => [node, world.lower(usualAt(usual, "stuck", step))]),
  );
  const first = cutSearch(context, reveals, [fault], asked).run();
  const late = new Map(
    [...neverInTime(context, first)].map(([edge, never]): [Edge, Expression] => {
      const tellsNothing = edge.step ? world.lower(usualAt(usual, "waits", edge.step)) : FALSE;
      return [edge, and(expressionOf(first.space, never), not(tellsNothing))];
    }),
  );
  const search =
    late.size === 0
      ? first
      : cutSearch(context, { ...reveals, at: new Map([...reveals.at, ...late]) }, [fault], asked).run();
  const firstStep = new Map<number, string>();
  const reveal = (set: Ref, step: string | undefined) => {
    for (const value of valuesIn(search, set, fault)) {
      const present = firstStep.get(value);
      if (step !== undefined && (present === undefined || isBefore(context, step, present))) firstStep.set(value, step);
    }
  };
  for (const { states, transition } of search.breaches)
    reveal(states, transition.cause.kind === "edge" ? transition.cause.edge.step?.name : undefined);
  const { space } = search;
  let unseen = unrevealed(context, search);
  for (const { states, step } of stuckStates(context, search)) {
    const tellsNothing = space.set(world.lower(usualAt(usual, "stuck", step)));
    reveal(space.bdd.diff(states, tellsNothing), step.name);
    unseen = space.bdd.or(unseen, space.bdd.and(states, tellsNothing));
  }
  const starts = faultsThatStart(context, fault);
  const survivors = new Set(valuesIn(search, unseen, fault));
  return {
    row: (index) => {
      const value = index + 1;
      if (!starts.has(value)) return { revealed: "no start" };
      const step = firstStep.get(value);
      if (step === undefined) return { revealed: "never" };
      return { revealed: survivors.has(value) ? "sometimes" : "always", first: step };
    },
  };
}

/** Faults that nobody looks for, and with which some equipment cannot be at rest as the procedure takes it for granted. */
function unstarted({ program, procedure, tail, limits }: Asked, faults: readonly Fault[]): readonly FaultRow[] {
  if (faults.length === 0) return [];
  try {
    const wired = withFaults(program, procedure, faults);
    const model = buildModel(wired.program, wired.system, wired.procedure, tail);
    const context = contextOf(wired.program, wired.procedure, model, limits);
    const starting = faultsThatStart(context, model.world.outside(FAULT)!);
    return faults.flatMap((fault, index): FaultRow[] =>
      starting.has(index + 1) ? [] : [{ fault, revealed: "no start" }],
    );
  } catch (error) {
    if (!(error instanceof NodeLimit || error instanceof OutOfTime)) throw error;
    return faults.map((fault) => ({ fault, revealed: "unproved" }));
  }
}

/** The faults with which the procedure can start: all of the equipment has to be at rest, looked at or not. */
function faultsThatStart(context: Context, fault: Variable): ReadonlySet<number> {
  const whole = wholeWith(context, [], [...context.model.start, equals(fault, 0)]);
  const search = cutSearch({ ...context, whole }, { at: new Map(), closed: new Set() }, [fault]);
  return new Set(valuesIn(search, search.start, fault));
}

function isBefore(context: Context, one: string, other: string): boolean {
  return (context.textOrder.get(one) ?? 0) < (context.textOrder.get(other) ?? 0);
}

/** States of the ends, those in which a need fails, and those from which the equipment never comes to rest. */
function unrevealed(context: Context, search: Search): Ref {
  const { space } = search;
  const { bdd } = space;
  let all = EMPTY;
  for (const node of context.model.graph.nodes) if (node.end) all = bdd.or(all, search.reachedAt(node.id));
  for (const probe of context.model.graph.probes) {
    if (probe.kind !== "needs" && probe.kind !== "begins") continue;
    const fails = bdd.diff(ready(search), space.set(probe.truth));
    for (const { id } of probe.nodes) all = bdd.or(all, bdd.and(search.reachedAt(id), fails));
  }
  const { factoring } = space;
  for (const [transition, states] of search.moving())
    all = bdd.or(all, factoring.plain(factoring.restless(factoring.of(states), amongOf(transition))));
  return all;
}
