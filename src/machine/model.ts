import type { Condition } from "../program/condition.js";
import type { Procedure } from "../program/procedure.js";
import type { Program } from "../program/program.js";
import { ruleIsFor } from "../program/program.js";
import type { Rule } from "../program/rule.js";
import type { System, Tail } from "../program/system.js";
import { conditionsOfProcedure, conditionsOfRule, walkSteps } from "../program/walk.js";
import { and, type Expression, equals, FALSE, not, or, type Variable, variablesOf } from "./expression.js";
import { buildGraph, watchesOf } from "./graph/build.js";
import type { Edge, Graph } from "./graph/graph.js";
import { assign, assigned, choose, type Operation } from "./operation.js";
import { type Dynamics, dynamicsOf, memoriesOfConditions } from "./world/dynamics.js";
import type { Memory } from "./world/memory.js";
import { timesOf } from "./world/times.js";
import { World } from "./world/world.js";

/** One procedure on one tail: its variables, its acts, and how the equipment moves by itself. */
export interface Model {
  readonly procedure: Procedure;
  readonly world: World;
  readonly graph: Graph;
  readonly dynamics: Dynamics;
  readonly memories: readonly Memory[];
  /** What a tick does to the clocks. */
  readonly ticks: readonly Operation[];
  /** Gauges that may move by themselves, with the condition under which they do. */
  readonly gauges: ReadonlyMap<string, Expression>;
  /** Rules for this procedure that apply to the tail, with their forms and scopes lowered. */
  readonly rules: readonly LoweredRule[];
  /** For each edge every variable that it names or changes, what it makes known included. */
  readonly namedBy: ReadonlyMap<Edge, ReadonlySet<Variable>>;
  /** The same, by variable. */
  readonly naming: ReadonlyMap<Variable, readonly Edge[]>;
  /** Edges that nothing ever goes along. */
  readonly impassable: readonly Edge[];
  /** What is given a value where no settling follows. */
  readonly unsettling: ReadonlySet<Variable>;
  /** What every start satisfies, in parts; memories are at their first values. */
  readonly start: readonly Expression[];
}

export interface LoweredRule {
  readonly rule: Rule;
  readonly condition?: Expression;
  /** `condition` with `(P) for T` read at the moment before, where the form asks for that. */
  readonly before?: { readonly remember: Operation; readonly variable: Variable }[];
  readonly trigger?: Expression;
  readonly deadline?: Expression | "end";
  readonly onlyAfter?: Expression;
  readonly onlyUntil?: Expression;
}

/** Builds the model. Everything that rules and steps name is lowered first, so that marks and clocks are all there. */
export function buildModel(program: Program, system: System, procedure: Procedure, tail: Tail): Model {
  const rules = program.rules.filter((rule) => ruleIsFor(rule, procedure));
  const fits = new World(system, tail, timesOf(system, procedure, []), []);
  const applied = rules.filter((rule) => !rule.applies || fits.fitHolds(rule.applies));
  const announced = [
    ...conditionsOfProcedure(procedure),
    ...applied.flatMap(conditionsOfRule),
    ...begunBy(program, procedure),
  ];
  const world = new World(system, tail, timesOf(system, procedure, announced), announced);
  const lowered = rules
    .filter((rule) => !rule.applies || world.fitHolds(rule.applies))
    .map((rule) => lowerRule(world, rule));
  for (const fit of fits.fitsConsulted) world.fitsConsulted.add(fit);
  const begins = procedure.begins.map((condition) => world.lower(condition));
  for (const condition of procedure.ends) world.lower(condition);
  const graph = buildGraph(world, program, procedure);
  const gauges = movingGauges(world);
  const watches = watchesOf(world, graph).map((watch) => watchMemory(world, watch));
  takeUpObserved(world, graph);
  const dynamics = dynamicsOf(world);
  const ofConditions = memoriesOfConditions(world);
  const namedBy = new Map(graph.edges.map((edge) => [edge, namesOf(world, edge)]));
  return {
    procedure,
    world,
    graph,
    dynamics,
    memories: [...dynamics.memories, ...ofConditions.memories, ...watches],
    ticks: [...dynamics.delayed.flatMap((delayed) => delayed.tick), ...ofConditions.ticks],
    gauges,
    rules: lowered,
    namedBy,
    naming: namingOf(namedBy),
    impassable: graph.edges.filter(
      ({ after, operations }) =>
        after === FALSE || operations.some((one) => one.kind === "assume" && one.condition === FALSE),
    ),
    unsettling: new Set(
      graph.edges.flatMap(({ kind, operations }) => (kind === "pass" ? operations.flatMap(assigned) : [])),
    ),
    start: [...begins.flatMap(parts), ...startOf(world, dynamics)],
  };
}

function namingOf(namedBy: Model["namedBy"]): Model["naming"] {
  const found = new Map<Variable, Edge[]>();
  for (const [edge, named] of namedBy) {
    for (const variable of named) {
      const present = found.get(variable);
      if (present) present.push(edge);
      else found.set(variable, [edge]);
    }
  }
  return found;
}

function namesOf(world: World, edge: Edge): ReadonlySet<Variable> {
  const named = new Set<Variable>(variablesOf(edge.after));
  for (const operation of edge.operations) {
    for (const variable of assigned(operation)) named.add(variable);
    if (operation.kind === "assume") for (const variable of variablesOf(operation.condition)) named.add(variable);
  }
  for (const thing of edge.learns) {
    const known = world.known.get(thing);
    if (known) named.add(known.mark);
  }
  return named;
}

/** What the procedures that this one hands over to take for granted. */
function begunBy(program: Program, procedure: Procedure): readonly Condition[] {
  const gone = [...walkSteps(procedure.steps)].flatMap((step) => (step.kind === "go-to" ? [step.procedure] : []));
  return [...gone, ...(procedure.next ? [procedure.next.procedure] : [])].flatMap(
    (id) => program.procedures.get(id)?.begins ?? [],
  );
}

function takeUpObserved(world: World, graph: Graph): void {
  for (const probe of graph.probes) {
    if (probe.kind !== "observe" || probe.step?.kind !== "observe") continue;
    for (const light of probe.step.lights) world.lowerLight(light, "lit");
    for (const listed of probe.step.lit) if (listed.when) world.lower(listed.when);
  }
}

function lowerRule(world: World, rule: Rule): LoweredRule {
  const { form, scope } = rule;
  const lowered = {
    rule,
    ...(scope.onlyAfter ? { onlyAfter: world.lower(scope.onlyAfter) } : {}),
    ...(scope.onlyUntil ? { onlyUntil: world.lower(scope.onlyUntil) } : {}),
  };
  switch (form.kind) {
    case "never":
      return { ...lowered, condition: world.lower(form.condition) };
    case "always":
      return { ...lowered, condition: not(world.lower(form.condition)) };
    case "at-most":
      return { ...lowered, trigger: world.lower(form.trigger) };
    case "while":
    case "before":
      return { ...lowered, condition: world.lower(form.condition), trigger: world.lower(form.trigger) };
    case "when":
      return { ...lowered, ...lowerInterlock(world, form.condition), trigger: world.lower(form.trigger) };
    case "after":
      return {
        ...lowered,
        condition: world.lower(form.condition),
        ...(form.trigger ? { trigger: world.lower(form.trigger) } : {}),
        deadline: form.deadline === "end" ? "end" : world.lower(form.deadline),
      };
  }
}

/** In `require ... when`, what must have held for a time is judged on the moment before the trigger. */
function lowerInterlock(world: World, condition: Condition): Pick<LoweredRule, "condition" | "before"> {
  const before: { remember: Operation; variable: Variable }[] = [];
  const lower = (part: Condition): Expression => {
    if (part.kind === "and") return and(...part.of.map(lower));
    if (part.kind === "or") return or(...part.of.map(lower));
    if (part.kind !== "for") return world.lower(part);
    const truth = world.lower(part);
    const variable = world.variable(`before long enough ${world.held(part.of).clock.name} ${part.milliseconds}`, 2, {
      kind: "before",
    });
    before.push({ variable, remember: { kind: "remember", variable, truth } });
    return equals(variable, 1);
  };
  const expression = lower(condition);
  return { condition: expression, before };
}

function movingGauges(world: World): ReadonlyMap<string, Expression> {
  const moving = [...world.system.gauges.values()].filter((gauge) => gauge.moves && world.isFitted(gauge.id));
  return new Map(moving.map((gauge) => [gauge.id, world.lower(gauge.moves!)]));
}

/**
 * Whether its condition has ceased since the last act. The answer may begin at any time in the pause: what else comes about
 * there can come before the first act of the answer just as well.
 */
function watchMemory(
  world: World,
  watch: { readonly active: string; readonly ceased: string; readonly truth: Expression },
): Memory {
  const [active, ceased] = [world.mark(watch.active), world.mark(watch.ceased)];
  const was = world.variable(`before ${watch.ceased}`, 2, { kind: "before" });
  return {
    name: watch.ceased,
    variables: [ceased],
    inputs: new Set(variablesOf(watch.truth)),
    atAct: [assign(ceased, 0)],
    before: [{ kind: "remember", variable: was, truth: watch.truth }],
    after: [
      choose({
        when: and(equals(active, 1), equals(was, 1), not(watch.truth)),
        assign: [{ variable: ceased, value: 1 }],
      }),
    ],
    scratch: [was],
  };
}

function startOf(world: World, dynamics: Dynamics): readonly Expression[] {
  const invariants = [...world.system.controls.values()].flatMap((control) => {
    const variable = world.control(control.id);
    if (!variable) return [];
    const held = [...control.springs.keys()].map((position) =>
      not(equals(variable, world.valueOf(control.id, position))),
    );
    const guarded = control.guards && world.control(control.guards.control);
    if (!control.guards || !guarded) return held;
    const closed = equals(variable, world.valueOf(control.id, "closed"));
    return [...held, or(not(closed), equals(guarded, world.valueOf(control.guards.control, control.guards.position)))];
  });
  const settled = dynamics.immediate.flatMap((piece) => piece.choice.map((one) => not(one.when)));
  const latches = [...world.latches.values()].flatMap(({ latched, cancelled }) =>
    latched && cancelled ? [or(equals(latched, 0), equals(cancelled, 0))] : [],
  );
  const memories = world.variables.filter((variable) => variable.role.kind === "memory" && !isLatch(world, variable));
  return [
    ...invariants,
    ...settled,
    ...latches,
    ...world.gauges.possible(),
    ...memories.map((variable) => equals(variable, 0)),
  ];
}

function isLatch(world: World, variable: Variable): boolean {
  return [...world.latches.values()].some((latch) => latch.latched === variable || latch.cancelled === variable);
}

function parts(expression: Expression): readonly Expression[] {
  return expression.kind === "and" ? expression.of : [expression];
}
