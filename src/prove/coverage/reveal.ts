import { and, type Expression, equals, FALSE, not, or, type Variable, variablesOf } from "../../machine/expression.js";
import type { Edge } from "../../machine/graph/graph.js";
import { buildModel, type Model } from "../../machine/model.js";
import { orderOf } from "../../machine/slice.js";
import { EMPTY, NodeLimit, type Ref } from "../../machine/symbolic/bdd.js";
import { OutOfTime, type Search } from "../../machine/symbolic/search.js";
import { Space } from "../../machine/symbolic/space.js";
import type { Condition } from "../../program/condition.js";
import type { Fault, FaultRow } from "../../program/coverage.js";
import type { Procedure } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";
import type { System, Tail } from "../../program/system.js";
import { walkCondition, walkSteps } from "../../program/walk.js";
import { type Context, contextOf, type Limits, wholeWith } from "../context.js";
import { rounds } from "../whole/settling.js";
import { ready } from "../whole/tell.js";
import { type Cuts, cutSearch, valuesIn } from "./cutting.js";
import { expressionOf } from "./expression-of.js";
import { faultsOf } from "./faults.js";
import { FAULT, unharmed, withFaults } from "./inject.js";
import { hasLogic, looksOf, withLights } from "./looks.js";

/** Faults looked at in one search: more make outliers (64 measured best on synthetic systems). */
const BATCH = 64;

/** Every single stuck-at fault of the system on one tail, and whether going through the procedure reveals it. */
export function faultsOnTail(program: Program, procedure: Procedure, tail: Tail, limits: Limits): readonly FaultRow[] {
  const system = program.systems.get(procedure.system)!;
  const { world } = buildModel({ ...program, rules: [] }, system, procedure, tail);
  const isThere = (id: string) => world.isFitted(id);
  const faults = faultsOf(system).filter(({ thing, within }) => isThere(thing) && (!within || isThere(within)));
  const rows: FaultRow[] = [];
  for (let at = 0; at < faults.length; at += BATCH)
    rows.push(...rowsOf({ program, procedure, tail, limits }, faults.slice(at, at + BATCH)));
  return rows;
}

interface Asked {
  readonly program: Program;
  readonly procedure: Procedure;
  readonly tail: Tail;
  readonly limits: Limits;
}

/** A batch that needs too many nodes is parted. */
function rowsOf(asked: Asked, faults: readonly Fault[]): readonly FaultRow[] {
  try {
    return batch(asked, faults);
  } catch (error) {
    if (!(error instanceof NodeLimit || error instanceof OutOfTime)) throw error;
    if (error instanceof OutOfTime || faults.length === 1)
      return faults.map((fault) => ({ fault, revealed: "unproved" }));
    const half = faults.length >> 1;
    return [...rowsOf(asked, faults.slice(0, half)), ...rowsOf(asked, faults.slice(half))];
  }
}

function batch(asked: Asked, faults: readonly Fault[]): readonly FaultRow[] {
  const { tail, limits } = asked;
  const wired = withFaults(asked.program, asked.procedure, faults);
  const procedure = takingUp(wired.procedure, wired.system);
  const model = buildModel(wired.program, wired.system, procedure, tail);
  const fault = model.world.outside(FAULT)!;
  const plain = contextOf(wired.program, procedure, model, limits);
  const reveals = revealsOf(plain);
  const names = [...reveals.at.values(), equals(fault, 0)];
  const context = { ...plain, whole: wholeWith(plain, [], names) };
  const outcome = outcomeOf(context, fault, reveals);
  const effects = effectsOf(model, asked.program.systems.get(asked.procedure.system)!);
  const apart = apartOf(model, effects, fault, faults, limits, (index) => outcome.row(index).revealed === "never");
  return faults.map((one, index) => {
    const row = outcome.row(index);
    return { fault: one, ...row, ...(apart.has(index) ? { revealed: "apart" as const } : {}) };
  });
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

/** Where a fault is seen: a list that is wrong, a check that fails and would not in the same state without it. */
function revealsOf(context: Context): Cuts {
  const { world } = context.model;
  const looks = looksOf(context);
  const healthy = (light: string) => (hasLogic(context.model, light) ? unharmed(light) : light);
  const at = new Map(
    looks.all.map(({ edge, step, wrong, kind }): [Edge, Expression] => {
      if (kind === "list" || step.kind !== "check") return [edge, wrong];
      return [edge, and(wrong, world.lower(withLights(step.condition, healthy)))];
    }),
  );
  return { at, closed: looks.answers };
}

interface Outcome {
  readonly row: (index: number) => Pick<FaultRow, "revealed" | "first">;
}

function outcomeOf(context: Context, fault: Variable, reveals: Cuts): Outcome {
  const first = cutSearch(context, reveals, [fault]).run();
  const late = neverInTime(context, first);
  const search =
    late.size === 0 ? first : cutSearch(context, { ...reveals, at: new Map([...reveals.at, ...late]) }, [fault]).run();
  const firstStep = new Map<number, string>();
  const reveal = (set: Ref, step: string | undefined) => {
    for (const value of valuesIn(search, set, fault)) {
      const present = firstStep.get(value);
      if (step !== undefined && (present === undefined || isBefore(context, step, present))) firstStep.set(value, step);
    }
  };
  for (const { states, transition } of search.breaches)
    reveal(states, transition.cause.kind === "edge" ? transition.cause.edge.step?.name : undefined);
  for (const { states, step } of stuckStates(context, search)) reveal(states, step);
  const starts = new Set(valuesIn(search, search.start, fault));
  const survivors = new Set(valuesIn(search, unrevealed(context, search), fault));
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

function isBefore(context: Context, one: string, other: string): boolean {
  return (context.textOrder.get(one) ?? 0) < (context.textOrder.get(other) ?? 0);
}

/** Waits and loops that no path leaves. */
function stuckStates(context: Context, search: Search): readonly { readonly states: Ref; readonly step: string }[] {
  const { bdd } = search.space;
  return context.model.graph.probes.flatMap((probe) => {
    if (probe.kind !== "stuck" || !probe.step) return [];
    const asked = new Map(probe.nodes.map((node) => [node.id, search.reached[node.id]!]));
    const leaves = search.canLeave(probe.region, asked);
    const step = probe.step.name;
    return probe.nodes.map(({ id }) => ({ step, states: bdd.diff(search.reached[id]!, leaves.get(id) ?? EMPTY) }));
  });
}

/** Waits with a limit: the states in which what is waited for cannot come any more, where the crew gives up. */
function neverInTime(context: Context, search: Search): ReadonlyMap<Edge, Expression> {
  const { space } = search;
  const found = new Map<Edge, Expression>();
  for (const probe of context.model.graph.probes) {
    if (probe.kind !== "if-not" || probe.step?.kind !== "wait-for") continue;
    for (const late of probe.edges) {
      const asked = new Map([[late.from.id, search.reached[late.from.id]!]]);
      const leaves = search.canLeave([late.from], asked, { notBy: (edge) => edge === late });
      const never = space.bdd.diff(search.momentsOf(late), leaves.get(late.from.id) ?? EMPTY);
      if (never !== EMPTY) found.set(late, expressionOf(space, never));
    }
  }
  return found;
}

/** States of the ends, those in which a need fails, and those from which the equipment never comes to rest. */
function unrevealed(context: Context, search: Search): Ref {
  const { space } = search;
  const { bdd } = space;
  let all = EMPTY;
  for (const node of context.model.graph.nodes) if (node.end) all = bdd.or(all, search.reached[node.id]!);
  for (const probe of context.model.graph.probes) {
    if (probe.kind !== "needs" && probe.kind !== "begins") continue;
    const fails = bdd.diff(ready(search), space.set(probe.truth));
    for (const { id } of probe.nodes) all = bdd.or(all, bdd.and(search.reached[id]!, fails));
  }
  for (const states of search.moving.values()) {
    if (!rounds(search, states).endless) continue;
    all = bdd.or(all, bdd.diff(states, space.backward(space.settled, [{ kind: "settle" }])));
  }
  return all;
}

/** Of the faults asked about, those with which no light and no change reads otherwise in any state. */
function apartOf(
  model: Model,
  changed: readonly Expression[],
  fault: Variable,
  faults: readonly Fault[],
  limits: Limits,
  isAsked: (index: number) => boolean,
): ReadonlySet<number> {
  const asked = faults.flatMap((_, index) => (isAsked(index) ? [index] : []));
  if (asked.length === 0) return new Set();
  const { world } = model;
  const possible = world.gauges.possible();
  const wanted = new Set([...changed, ...possible].flatMap((one) => [...variablesOf(one)]));
  wanted.add(fault);
  const order = [fault, ...orderOf(new Map(), [...changed], wanted).filter((one) => one !== fault)];
  const space = new Space(order, { choices: [], settled: FALSE }, limits.nodes, 16);
  const apart = new Set(asked);
  for (const one of changed) {
    if (limits.deadline?.()) throw new OutOfTime();
    const states = possible.reduce((set, part) => space.bdd.and(set, space.set(part)), space.set(one));
    for (const index of apart) if (space.restrict(states, fault, index + 1) !== EMPTY) apart.delete(index);
    if (apart.size === 0) break;
  }
  return apart;
}

/** Where some light, or the condition of some change, reads otherwise than it would. */
function effectsOf({ world }: Model, asWritten: System): readonly Expression[] {
  const { system } = world;
  const lights = [...asWritten.lights.values()].filter(
    ({ id }) => system.lights.has(unharmed(id)) && world.isFitted(id),
  );
  const ofLights = lights.flatMap(({ id, flashingWhen }) =>
    (flashingWhen ? (["lit", "flashing"] as const) : (["lit"] as const)).map((state) =>
      differ(world.lowerLight(id, state), world.lowerLight(unharmed(id), state)),
    ),
  );
  const healthy = (light: string) => (system.lights.has(unharmed(light)) ? unharmed(light) : light);
  const ofChanges = [...asWritten.equipment.values()].flatMap(({ id, changes }) =>
    changes.map((change, index) => {
      const wired = system.equipment.get(id)?.changes[index]?.when;
      if (change.anytime || !change.when || !wired || !world.isFitted(id)) return FALSE;
      return differ(world.lower(wired), world.lower(withLights(change.when, healthy)));
    }),
  );
  return [...ofLights, ...ofChanges];
}

function differ(one: Expression, other: Expression): Expression {
  return or(and(one, not(other)), and(other, not(one)));
}
