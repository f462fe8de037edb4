import { and, type Expression, equals, FALSE, isIn, not, or, TRUE, type Variable } from "../machine/expression.js";
import type { Edge } from "../machine/graph/graph.js";
import type { LoweredRule, Model } from "../machine/model.js";
import { assign, type Case, choose, type Operation } from "../machine/operation.js";
import type { Monitor } from "../machine/transitions.js";
import { inputsOf } from "../machine/world/memory.js";
import { range, type World } from "../machine/world/world.js";
import type { Procedure } from "../program/procedure.js";
import { walkCondition, walkSteps } from "../program/walk.js";

/** What a rule asks of a run: the monitor that judges every moment, and what is wrong where a run ends. */
export interface Question {
  readonly monitor: Monitor;
  /** Wrong where the card is finished, at the last moment before the final pause. */
  readonly atEnd: Expression;
  /** Wrong where the card is set aside or left for another. */
  readonly atLeaving: Expression;
  /** Broken by what the last crew left, before anything is done. */
  readonly alreadySo: Expression;
}

/** The monitor of a rule, by the table of rule forms. Scopes, and what `at 0` means, are in it. */
export function questionOf(model: Model, lowered: LoweredRule): Question {
  const { world } = model;
  const scope = scopeOf(world, lowered);
  const { form } = lowered.rule;
  switch (form.kind) {
    case "never":
    case "always":
      return risesQuestion(world, lowered, scope, lowered.condition!);
    case "while":
      return risesQuestion(world, lowered, scope, and(lowered.trigger!, not(lowered.condition!)));
    case "when":
      return whenQuestion(world, lowered, scope);
    case "before":
      return beforeQuestion(world, lowered, scope);
    case "at-most":
      return atMostQuestion(world, lowered, scope, form.times);
    case "after":
      return afterQuestion(model, lowered, scope, form.within);
  }
}

/** The scope of a rule. `now` and `was` tell whether it is open at this moment and was at the one before. */
interface ScopeState {
  readonly now: Expression;
  readonly was: Expression;
  readonly opening: Expression;
  readonly closing: Expression;
  readonly atStart: Expression;
  readonly before: readonly Operation[];
  readonly after: readonly Operation[];
  readonly start: readonly Operation[];
  readonly scratch: readonly Variable[];
  readonly variables: readonly Variable[];
  readonly inputs: ReadonlySet<Variable>;
}

function scopeOf(world: World, lowered: LoweredRule): ScopeState {
  const { onlyAfter, onlyUntil } = lowered;
  const nothing = { before: [], after: [], start: [], scratch: [], variables: [], inputs: new Set<Variable>() };
  if (!onlyAfter && !onlyUntil)
    return { now: TRUE, was: TRUE, opening: FALSE, closing: FALSE, atStart: TRUE, ...nothing };
  const open = world.variable(`scope of ${lowered.rule.id}`, 2, { kind: "memory" });
  const was = equals(open, 1);
  const until = onlyUntil ?? FALSE;
  const opener = world.variable(`before opening of ${lowered.rule.id}`, 2, { kind: "before" });
  const opens = onlyAfter ? and(onlyAfter, equals(opener, 0)) : FALSE;
  const now = and(not(until), or(was, opens));
  const atStart = and(not(until), onlyAfter ?? TRUE);
  return {
    now,
    was,
    opening: and(now, not(was)),
    closing: and(was, not(now)),
    atStart,
    before: onlyAfter ? [{ kind: "remember", variable: opener, truth: onlyAfter }] : [],
    after: [setTo(open, now)],
    start: [setTo(open, atStart)],
    scratch: onlyAfter ? [opener] : [],
    variables: [open],
    inputs: inputsOf(until, onlyAfter ?? FALSE),
  };
}

function setTo(variable: Variable, truth: Expression): Operation {
  return choose({ when: truth, assign: [{ variable, value: 1 }] }, { when: TRUE, assign: [{ variable, value: 0 }] });
}

/** A truth watched for rises inside the scope: `now`, and whether it was so at the moment before. */
function riseOf(world: World, lowered: LoweredRule, scope: ScopeState, name: string, truth: Expression) {
  const variable = world.variable(`before ${name} of ${lowered.rule.id}`, 2, { kind: "before" });
  const now = and(scope.now, truth);
  const remember: Operation = { kind: "remember", variable, truth: and(scope.was, truth) };
  return { now, rises: and(now, equals(variable, 0)), remember, variable };
}

function monitorOf(
  lowered: LoweredRule,
  scope: ScopeState,
  watched: readonly { readonly remember: Operation; readonly variable: Variable }[],
  broken: Expression,
  reads: readonly Expression[],
  own: {
    readonly variables?: readonly Variable[];
    readonly after?: readonly Operation[];
    readonly start?: readonly Operation[];
  } = {},
): Monitor {
  return {
    name: lowered.rule.id,
    variables: [...scope.variables, ...(own.variables ?? [])],
    inputs: new Set([...scope.inputs, ...inputsOf(...reads)]),
    before: [...scope.before, ...watched.map((one) => one.remember)],
    after: [...(own.after ?? []), ...scope.after],
    scratch: [...scope.scratch, ...watched.map((one) => one.variable)],
    start: [...(own.start ?? []), ...scope.start],
    broken,
  };
}

function risesQuestion(world: World, lowered: LoweredRule, scope: ScopeState, truth: Expression): Question {
  const rise = riseOf(world, lowered, scope, "truth", truth);
  const monitor = monitorOf(lowered, scope, [rise], rise.rises, [truth]);
  return { monitor, atEnd: FALSE, atLeaving: FALSE, alreadySo: and(scope.atStart, truth) };
}

function whenQuestion(world: World, lowered: LoweredRule, scope: ScopeState): Question {
  const { rule, trigger, condition, before } = lowered;
  const rise = riseOf(world, lowered, scope, "trigger", trigger!);
  const monitor = monitorOf(lowered, scope, [rise, ...(before ?? [])], and(rise.rises, not(condition!)), [trigger!]);
  const present = rule.form.kind === "when" ? world.lower(rule.form.condition) : TRUE;
  return { monitor, atEnd: FALSE, atLeaving: FALSE, alreadySo: and(scope.atStart, trigger!, not(present)) };
}

function beforeQuestion(world: World, lowered: LoweredRule, scope: ScopeState): Question {
  const { rule, trigger, condition } = lowered;
  const held = world.variable(`held ${rule.id}`, 2, { kind: "memory" });
  const rise = riseOf(world, lowered, scope, "trigger", trigger!);
  const before = and(equals(held, 1), not(scope.opening));
  const monitor = monitorOf(
    lowered,
    scope,
    [rise],
    and(rise.rises, not(condition!), not(before)),
    [trigger!, condition!],
    {
      variables: [held],
      after: [setTo(held, and(scope.now, or(condition!, before)))],
      start: [setTo(held, and(scope.atStart, condition!))],
    },
  );
  return { monitor, atEnd: FALSE, atLeaving: FALSE, alreadySo: and(scope.atStart, trigger!, not(condition!)) };
}

function atMostQuestion(world: World, lowered: LoweredRule, scope: ScopeState, times: number): Question {
  const { rule, trigger } = lowered;
  const count = world.variable(`times of ${rule.id}`, times + 1, { kind: "memory" });
  const rise = riseOf(world, lowered, scope, "trigger", trigger!);
  const opened = times === 0 ? scope.opening : FALSE;
  const broken = and(rise.rises, or(opened, and(not(scope.opening), equals(count, times))));
  const counted: readonly Case[] = [
    { when: and(scope.opening, rise.rises), assign: [{ variable: count, value: Math.min(1, times) }] },
    { when: scope.opening, assign: [{ variable: count, value: 0 }] },
    ...range(0, times - 1).map((value) => ({
      when: and(rise.rises, equals(count, value)),
      assign: [{ variable: count, value: value + 1 }],
    })),
  ];
  const monitor = monitorOf(lowered, scope, [rise], broken, [trigger!], {
    variables: [count],
    after: [choose(...counted)],
    start: [assign(count, 0)],
  });
  return { monitor, atEnd: FALSE, atLeaving: FALSE, alreadySo: FALSE };
}

function afterQuestion(model: Model, lowered: LoweredRule, scope: ScopeState, within: number | undefined): Question {
  const { world } = model;
  const { rule, condition, trigger = TRUE } = lowered;
  const deadline = lowered.deadline === "end" ? undefined : lowered.deadline;
  const pending = world.variable(`pending ${rule.id}`, 2, { kind: "memory" });
  const rise = riseOf(world, lowered, scope, "trigger", trigger);
  const limit = deadline && riseOf(world, lowered, scope, "deadline", deadline);
  const due = or(limit?.rises ?? FALSE, scope.closing);
  const owed = equals(pending, 1);
  const stated = within === undefined ? undefined : statedTime(model, lowered, within, owed);
  const atLast = lowered.deadline === "end" ? lastMoment(world, lowered) : undefined;
  const renewed = and(or(not(owed), scope.opening), rise.rises, not(condition!));
  const update = choose(
    { when: condition!, assign: [{ variable: pending, value: 0 }] },
    { when: rise.rises, assign: [{ variable: pending, value: 1 }] },
    { when: or(due, scope.opening), assign: [{ variable: pending, value: 0 }] },
  );
  const broken = or(and(due, not(condition!), owed), stated?.late(condition!) ?? FALSE);
  const reads = [
    trigger,
    condition!,
    ...(deadline ? [deadline] : []),
    ...(stated?.clocks.map((clock) => equals(clock, 0)) ?? []),
    ...(stated && stated.clocks.length > 1 ? [equals(stated.actor, 0)] : []),
  ];
  const base = monitorOf(lowered, scope, limit ? [rise, limit] : [rise], broken, reads, {
    variables: [pending, ...(atLast ? [atLast.acted] : []), ...(stated?.clocks ?? [])],
    after: [...(stated ? [stated.reset(renewed)] : []), update],
    start: [
      setTo(pending, and(scope.atStart, trigger, not(condition!))),
      ...(atLast ? [assign(atLast.acted, 1)] : []),
      ...(stated?.clocks.map((clock) => assign(clock, 0)) ?? []),
    ],
  });
  const monitor: Monitor = {
    ...base,
    scratch: [...base.scratch, ...(stated ? [stated.actor] : [])],
    along: (edge) => [
      ...(atLast ? [assign(atLast.acted, edge.act.kind === "failure" ? 0 : 1)] : []),
      ...(stated?.along(edge) ?? []),
    ],
    inPause: [...(atLast ? [assign(atLast.acted, 0)] : []), ...(stated ? [assign(stated.actor, 0)] : [])],
    ...(stated?.atJoin ? { atJoin: stated.atJoin } : {}),
  };
  const overdue = stated?.overdue ?? FALSE;
  return {
    monitor,
    atEnd: or(overdue, atLast ? and(owed, equals(atLast.acted, 1)) : FALSE),
    atLeaving: or(overdue, atLast ? owed : FALSE),
    alreadySo: FALSE,
  };
}

/** Tells the last moment from what the final pause makes of it: no pause has changed anything since the last act. */
function lastMoment(world: World, lowered: LoweredRule): { readonly acted: Variable } {
  return { acted: world.variable(`acted for ${lowered.rule.id}`, 2, { kind: "memory" }) };
}

/** Stated times added up since the trigger, one sum for each lane; a sum has one value more than the limit for "too late". */
function statedTime(model: Model, lowered: LoweredRule, within: number, owed: Expression) {
  const { world, graph } = model;
  const times = graph.edges.map((edge) => edge.stated).filter((time) => time > 0 && Number.isFinite(time));
  const unit = [within, ...times].reduce(gcd, 0) || 1;
  const lanes = lanesOf(model.procedure);
  const limit = Math.floor(within / unit);
  const clocks = range(0, lanes - 1).map((lane) =>
    world.variable(`stated time ${lane} of ${lowered.rule.id}`, limit + 2, { kind: "memory" }),
  );
  const actor = world.variable(`before lane of ${lowered.rule.id}`, lanes + 1, { kind: "before" });
  const tooLate = (clock: Variable) => equals(clock, limit + 1);
  const add = (clock: Variable, milliseconds: number): Operation => {
    const steps = Number.isFinite(milliseconds) ? Math.round(milliseconds / unit) : limit + 1;
    const cases = range(0, limit).map((value) => ({
      when: and(owed, equals(clock, value)),
      assign: [{ variable: clock, value: Math.min(limit + 1, value + steps) }],
    }));
    return choose(...cases);
  };
  return {
    clocks,
    actor,
    along: (edge: Edge): readonly Operation[] => {
      const own = edge.lanes ? edge.lanes.map((lane) => clocks[lane]!) : clocks;
      const meets = clocks.length > 1 && (edge.lanes === undefined || waitsForOther(edge));
      const acting = edge.lanes?.length === 1 ? edge.lanes[0]! + 1 : 0;
      return [
        assign(actor, acting),
        ...(meets ? [levelled(clocks, own)] : []),
        ...(edge.stated > 0 ? own.map((clock) => add(clock, edge.stated)) : []),
      ];
    },
    reset: (renewed: Expression): Operation =>
      choose({ when: renewed, assign: clocks.map((variable) => ({ variable, value: 0 })) }),
    /** By the larger sum, at the end. */
    overdue: clocks.length > 1 ? and(owed, or(...clocks.map(tooLate))) : FALSE,
    ...(clocks.length > 1 ? { atJoin: [levelled(clocks, clocks)] } : {}),
    late: (condition: Expression): Expression => {
      if (clocks.length === 1) return and(owed, tooLate(clocks[0]!));
      const byOne = clocks.map((clock, lane) => and(equals(actor, lane + 1), condition, tooLate(clock)));
      return and(owed, or(and(...clocks.map(tooLate)), ...byOne));
    },
  };
}

/** The most that work at once. */
function lanesOf({ steps }: Procedure): number {
  return Math.max(1, ...[...walkSteps(steps)].map((step) => (step.kind === "together" ? step.lanes.length : 1)));
}

/** The end of a wait for something that the other lane does, where that has come. */
function waitsForOther(edge: Edge): boolean {
  if (edge.step?.kind !== "wait-for" || edge.act.kind !== "look" || edge.act.outcome === false) return false;
  return [...walkCondition(edge.step.condition)].some((part) => part.kind === "done");
}

/** Where one lane waited for the other, and at the end, the larger sum counts. */
function levelled(clocks: readonly Variable[], own: readonly Variable[]): Operation {
  const size = clocks[0]!.size;
  const cases = range(0, size - 1)
    .toReversed()
    .map((value) => ({
      when: or(...clocks.map((clock) => isIn(clock, range(value, size - 1)))),
      assign: own.map((variable) => ({ variable, value })),
    }));
  return choose(...cases);
}

function gcd(a: number, b: number): number {
  return b === 0 ? a : gcd(b, a % b);
}
