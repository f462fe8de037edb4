import { invariant } from "../../invariant.js";
import type { Condition } from "../../program/condition.js";
import type { Control, Equipment, Light, System, Tail } from "../../program/system.js";
import { walkCondition } from "../../program/walk.js";
import {
  and,
  type Expression,
  equals,
  FALSE,
  isIn,
  not,
  or,
  TRUE,
  type Variable,
  type VariableRole,
} from "../expression.js";
import { Gauges } from "./gauges.js";
import { MOST_TICKS, type Times, TooManyTicks } from "./times.js";

/**
 * The variables of one system on one tail, and the truth of conditions over them. Things are taken up when first named,
 * so a world holds what its procedure and rules need. What is not fitted to the tail has no variable.
 */
export class World {
  readonly variables: Variable[] = [];
  /** Fit variables whose value was asked for: tails that agree on these share one proof. */
  readonly fitsConsulted = new Set<string>();
  readonly gauges: Gauges;
  private readonly named = new Map<string, Variable>();
  private readonly lowered = new Map<string, Expression>();
  readonly known = new Map<string, KnownThing>();
  readonly latches = new Map<string, Latch>();
  readonly heldFor = new Map<string, HeldFor>();
  private readonly longestFor = new Map<string, number>();

  constructor(
    readonly system: System,
    readonly tail: Tail,
    readonly times: Times,
    announced: readonly Condition[],
  ) {
    const everything = [...announced, ...conditionsOfSystem(system)];
    this.gauges = new Gauges(system, everything, (name, size, role) => this.variable(name, size, role));
    for (const condition of announced) this.announce(condition);
  }

  /** The variable of that name, made on first asking. */
  variable(name: string, size: number, role: VariableRole): Variable {
    const present = this.named.get(name);
    if (present) return present;
    const made = { index: this.variables.length, name, size, role };
    this.variables.push(made);
    this.named.set(name, made);
    return made;
  }

  find(name: string): Variable | undefined {
    return this.named.get(name);
  }

  /** Is the thing on this tail? An unknown thing is taken as fitted. */
  isFitted(id: string): boolean {
    const fitted = this.thing(id)?.fitted;
    return !fitted || this.fitHolds(fitted);
  }

  /** The truth of a condition over fit variables alone. */
  fitHolds(condition: Condition): boolean {
    const expression = this.lower(condition);
    invariant(expression.kind === "constant", "a fit condition names fit variables only");
    return expression.value;
  }

  control(id: string): Variable | undefined {
    const control = this.system.controls.get(id);
    if (!control || !this.isFitted(id)) return undefined;
    return this.variable(id, control.positions.length, { kind: "control", thing: id });
  }

  equipment(id: string): Variable | undefined {
    const equipment = this.system.equipment.get(id);
    if (!equipment || !this.isFitted(id)) return undefined;
    return this.variable(id, equipment.states.length, { kind: "equipment", thing: id });
  }

  outside(id: string): Variable | undefined {
    const outside = this.system.outside.get(id);
    if (!outside || !this.isFitted(id)) return undefined;
    return this.variable(id, outside.states.length, { kind: "outside", thing: id });
  }

  /** The number of a control's position, an equipment's or an outside thing's state. */
  valueOf(id: string, state: string): number {
    const at = this.statesOf(id).indexOf(state);
    invariant(at >= 0, `${id} has no ${state}`);
    return at;
  }

  statesOf(id: string): readonly string[] {
    const control = this.system.controls.get(id);
    if (control) return control.positions.map((position) => position.id);
    return (this.system.equipment.get(id) ?? this.system.outside.get(id))?.states ?? [];
  }

  /** Marks: `done STEP`, `recorded GAUGE`, a prohibition in force. 0 at the start. */
  mark(name: string): Variable {
    return this.variable(name, 2, { kind: "memory" });
  }

  done(step: string): Variable {
    return this.mark(`done ${step}`);
  }

  isAskedFor(mark: string): boolean {
    return this.named.has(mark);
  }

  /** What the condition comes to over the variables of this world. */
  lower(condition: Condition): Expression {
    switch (condition.kind) {
      case "constant":
        return condition.value ? TRUE : FALSE;
      case "and":
        return and(...condition.of.map((part) => this.lower(part)));
      case "or":
        return or(...condition.of.map((part) => this.lower(part)));
      case "not":
        return not(this.lower(condition.of));
      case "is":
        return this.lowerIs(condition);
      case "fitted":
        return this.isFitted(condition.thing) ? TRUE : FALSE;
      case "light":
        return this.lowerLight(condition.light, condition.state, condition.negated);
      case "named":
        return this.lowerNamed(condition.condition);
      case "compare":
      case "near":
      case "band":
        return gaugesIn(condition).every((gauge) => this.isFitted(gauge)) ? this.gauges.lower(condition) : FALSE;
      case "for": {
        const held = this.held(condition.of);
        return and(held.truth, this.hasRun(held, condition.milliseconds));
      }
      case "checked":
        return this.lowerKnown(condition.of).yes;
      case "done":
        return equals(this.done(condition.step), 1);
      case "recorded":
        return equals(this.mark(`recorded ${condition.gauge}`), 1);
    }
  }

  /** The truth of `lit`, `out`, `flashing` of a light. */
  lowerLight(id: string, state: "lit" | "out" | "flashing", negated = false): Expression {
    if (!this.isFitted(id)) return FALSE;
    const key = `${id} is ${state}`;
    const truth = this.lowered.get(key) ?? this.lightTruth(id, state);
    this.lowered.set(key, truth);
    return negated ? not(truth) : truth;
  }

  lowerNamed(id: string): Expression {
    const condition = this.system.conditions.get(id);
    if (!condition || !this.isFitted(id)) return FALSE;
    const truth = this.lowered.get(id) ?? this.lower(condition.means);
    this.lowered.set(id, truth);
    return truth;
  }

  /** The clock of `(P) for ...`: what it times, and the variable that counts its ticks up to the longest time asked of it. */
  held(of: Condition): HeldFor {
    const key = conditionKey(of);
    const present = this.heldFor.get(key);
    if (present) return present;
    const ticks = this.ticks(this.longestFor.get(key) ?? 0);
    const held = { truth: this.lower(of), clock: this.variable(`time of ${key}`, ticks + 1, { kind: "memory" }) };
    this.heldFor.set(key, held);
    return held;
  }

  hasRun(held: HeldFor, milliseconds: number): Expression {
    const least = Math.min(this.ticks(milliseconds), held.clock.size - 1);
    return isIn(held.clock, range(least, held.clock.size - 1));
  }

  /** A stated time in ticks; without sure waits any time is one tick, which only the crew's own timing reaches. */
  ticks(milliseconds: number): number {
    if (this.times.tick === 0) return milliseconds > 0 ? 1 : 0;
    const ticks = Math.ceil(milliseconds / this.times.tick);
    if (ticks > MOST_TICKS) throw new TooManyTicks(milliseconds, this.times.tick);
    return ticks;
  }

  /** The condition as the crew times it: `(P) for T` passes wherever P holds. */
  lowerTimed(condition: Condition): Expression {
    switch (condition.kind) {
      case "and":
        return and(...condition.of.map((part) => this.lowerTimed(part)));
      case "or":
        return or(...condition.of.map((part) => this.lowerTimed(part)));
      case "for":
        return this.lower(condition.of);
      default:
        return this.lower(condition);
    }
  }

  /** What of a condition is known (`checked`): three-valued, as what makes it surely true and what surely false. */
  lowerKnown(condition: Condition): { readonly yes: Expression; readonly no: Expression } {
    switch (condition.kind) {
      case "and":
      case "or": {
        const parts = condition.of.map((part) => this.lowerKnown(part));
        const [all, any] = [parts.map((part) => part.yes), parts.map((part) => part.no)];
        return condition.kind === "and" ? { yes: and(...all), no: or(...any) } : { yes: or(...all), no: and(...any) };
      }
      case "not": {
        const { yes, no } = this.lowerKnown(condition.of);
        return { yes: no, no: yes };
      }
      case "named": {
        const condition_ = this.system.conditions.get(condition.condition);
        if (!condition_ || !this.isFitted(condition.condition)) return { yes: FALSE, no: TRUE };
        const [known, truth] = [equals(this.know(condition.condition), 1), this.lowerNamed(condition.condition)];
        const definition = this.lowerKnown(condition_.means);
        return { yes: or(and(known, truth), definition.yes), no: or(and(known, not(truth)), definition.no) };
      }
      case "for": {
        const { yes } = this.lowerKnown(condition.of);
        const truth = this.lower(condition);
        return { yes: and(yes, truth), no: not(truth) };
      }
      default: {
        const truth = this.lower(condition);
        const known = and(
          ...thingsNamed(condition)
            .filter((thing) => this.isFitted(thing))
            .map((thing) => equals(this.know(thing), 1)),
        );
        return { yes: and(known, truth), no: and(known, not(truth)) };
      }
    }
  }

  /** The mark that a thing is known. */
  know(thing: string): Variable {
    const present = this.known.get(thing);
    if (present) return present.mark;
    const made = { thing, mark: this.mark(`known ${thing}`) };
    this.known.set(thing, made);
    return made.mark;
  }

  private lowerIs(condition: Extract<Condition, { kind: "is" }>): Expression {
    if (condition.of === "fit") {
      this.fitsConsulted.add(condition.thing);
      const value = this.tail.fit.get(condition.thing);
      return condition.values.includes(value ?? "") !== condition.negated ? TRUE : FALSE;
    }
    const variable = this[condition.of](condition.thing);
    if (!variable) return FALSE;
    const truth = isIn(
      variable,
      condition.values.map((value) => this.valueOf(condition.thing, value)),
    );
    return condition.negated ? not(truth) : truth;
  }

  private lightTruth(id: string, state: "lit" | "out" | "flashing"): Expression {
    const light = this.system.lights.get(id);
    invariant(light, `unknown light ${id}`);
    if (!light.litWhen && !light.flashingWhen) {
      const reading = this.reading(light);
      if (state === "out") return equals(reading, 0);
      return state === "lit" ? not(equals(reading, 0)) : equals(reading, 2);
    }
    const lit = this.litTruth(light);
    if (state === "lit") return lit;
    return state === "out" ? not(lit) : and(lit, light.flashingWhen ? this.lower(light.flashingWhen) : FALSE);
  }

  private reading(light: Light): Variable {
    return this.variable(`reading of ${light.id}`, 3, { kind: "reading", light: light.id });
  }

  /** Lit by its logic; a latch and a cancellation are equipment with two states of their own. */
  private litTruth(light: Light): Expression {
    const cause = or(
      light.litWhen ? this.lower(light.litWhen) : FALSE,
      light.flashingWhen ? this.lower(light.flashingWhen) : FALSE,
    );
    if (!light.latchedUntil && !light.cancelledBy) return cause;
    const latch = this.latch(light, cause);
    const on = latch.latched ? or(cause, equals(latch.latched, 1)) : cause;
    return latch.cancelled ? and(on, equals(latch.cancelled, 0)) : on;
  }

  private latch(light: Light, cause: Expression): Latch {
    const present = this.latches.get(light.id);
    if (present) return present;
    const latched = light.latchedUntil ? this.variable(`latch of ${light.id}`, 2, { kind: "memory" }) : undefined;
    const cancelled = light.cancelledBy ? this.variable(`cancelling of ${light.id}`, 2, { kind: "memory" }) : undefined;
    const made: Latch = {
      cause,
      until: light.latchedUntil ? this.lower(light.latchedUntil) : FALSE,
      cancel: light.cancelledBy ? this.lower(light.cancelledBy) : FALSE,
      ...(latched ? { latched } : {}),
      ...(cancelled ? { cancelled } : {}),
    };
    this.latches.set(light.id, made);
    return made;
  }

  private announce(condition: Condition): void {
    for (const part of walkCondition(condition)) {
      if (part.kind === "done") this.done(part.step);
      if (part.kind === "recorded") this.mark(`recorded ${part.gauge}`);
      if (part.kind !== "for") continue;
      const key = conditionKey(part.of);
      this.longestFor.set(key, Math.max(this.longestFor.get(key) ?? 0, part.milliseconds));
    }
  }

  private thing(id: string): { readonly fitted?: Condition } | undefined {
    const { controls, equipment, lights, gauges, outside, conditions } = this.system;
    return (
      controls.get(id) ?? equipment.get(id) ?? lights.get(id) ?? gauges.get(id) ?? outside.get(id) ?? conditions.get(id)
    );
  }
}

/** A thing that some rule or step asks `checked` of. */
export interface KnownThing {
  readonly thing: string;
  readonly mark: Variable;
}

export interface HeldFor {
  readonly truth: Expression;
  readonly clock: Variable;
}

export interface Latch {
  readonly cause: Expression;
  readonly until: Expression;
  readonly cancel: Expression;
  readonly latched?: Variable;
  readonly cancelled?: Variable;
}

/** Two conditions with one key mean the same: the condition without its places in the text. */
export function conditionKey(condition: Condition): string {
  return JSON.stringify(condition, (name, value: unknown) =>
    name === "span" || name === "quantifier" ? undefined : typeof value === "bigint" ? value.toString() : value,
  );
}

/** The things that a condition names and that can be known; a named condition is itself the thing. */
export function thingsNamed(condition: Condition): readonly string[] {
  switch (condition.kind) {
    case "is":
      return condition.of === "fit" ? [] : [condition.thing];
    case "light":
      return [condition.light];
    case "named":
      return [condition.condition];
    case "compare":
    case "near":
    case "band":
      return gaugesIn(condition);
    case "and":
    case "or":
      return condition.of.flatMap(thingsNamed);
    case "not":
    case "for":
    case "checked":
      return thingsNamed(condition.of);
    default:
      return [];
  }
}

export function range(from: number, to: number): readonly number[] {
  return Array.from({ length: Math.max(0, to - from + 1) }, (_, index) => from + index);
}

function gaugesIn(condition: Extract<Condition, { kind: "compare" | "near" | "band" }>): readonly string[] {
  if (condition.kind === "band") return [condition.gauge];
  if (condition.kind === "near") return [condition.left, condition.right];
  return [condition.left, condition.right].flatMap((term) => (term.kind === "gauge" ? [term.gauge] : []));
}

/** Every condition that the logic of the equipment holds. */
export function conditionsOfSystem(system: System): readonly Condition[] {
  const present = (...conditions: readonly (Condition | undefined)[]) =>
    conditions.filter((condition) => condition !== undefined);
  return [
    ...[...system.conditions.values()].map((condition) => condition.means),
    ...[...system.lights.values()].flatMap((light) =>
      present(light.litWhen, light.flashingWhen, light.latchedUntil, light.cancelledBy),
    ),
    ...[...system.equipment.values()].flatMap((equipment: Equipment) =>
      equipment.changes.flatMap((change) => present(change.when)),
    ),
    ...[...system.gauges.values()].flatMap((gauge) => present(gauge.moves)),
  ];
}

/** The guard over a control that is fitted, and the position it holds. */
export function guardOver(
  world: World,
  control: Control,
): { readonly guard: Variable; readonly holds: number } | undefined {
  const guard = control.guard === undefined ? undefined : world.system.controls.get(control.guard);
  const variable = guard && world.control(guard.id);
  if (!guard?.guards || !variable) return undefined;
  return { guard: variable, holds: world.valueOf(control.id, guard.guards.position) };
}
