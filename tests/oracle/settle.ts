import { readingsOf } from "./gauges.js";
import { thingsNamed as thingsNamedIn } from "./text.js";
import { type Change_, holds, isFitted, keyOf, type State, type World } from "./world.js";

export interface Settled {
  readonly values: readonly number[];
  /** Equipment of which two changes with different targets could fire in one round. */
  readonly conflicts: readonly number[];
  readonly race: boolean;
  readonly never: boolean;
}

/** Lets every immediate change that can fire do so, in rounds, until none can. */
export function settle(world: World, unsettled: State): Settled {
  let values = unsettled.values;
  const seen = new Set([values.join()]);
  const conflicts = new Set<number>();
  let several = false;
  for (;;) {
    const firing = ready(world, { ...unsettled, values });
    for (const [variable, changes] of firing)
      if (new Set(changes.map((change) => change.to)).size > 1) conflicts.add(variable);
    if (firing.size === 0) break;
    several ||= firing.size > 1;
    const next = [...values];
    for (const [variable, changes] of firing) next[variable] = changes[0]!.to;
    values = next;
    if (seen.has(values.join())) return { values, conflicts: [...conflicts], race: false, never: true };
    seen.add(values.join());
  }
  const race = several && settlesElsewhere(world, unsettled, values);
  return { values, conflicts: [...conflicts], race, never: false };
}

/** The changes that can fire now, by piece of equipment, in written order. */
function ready(world: World, state: State): Map<number, Change_[]> {
  const firing = new Map<number, Change_[]>();
  for (const [variable, changes] of world.immediate) {
    const can = changes.filter(
      (change) =>
        change.to !== state.values[variable] &&
        change.from.includes(state.values[variable]!) &&
        holds(world, state, change.when!),
    );
    if (can.length > 0) firing.set(variable, can);
  }
  return firing;
}

export function isSettled(world: World, state: State): boolean {
  return ready(world, state).size === 0;
}

/** Whether single firings, in some order, end in other values than the rounds do, or go on for ever. */
function settlesElsewhere(world: World, unsettled: State, settled: readonly number[]): boolean {
  const finished = new Set<string>();
  const open = new Set<string>();
  const elsewhere = (values: readonly number[]): boolean => {
    const key = values.join();
    if (open.has(key)) return true;
    if (finished.has(key)) return false;
    open.add(key);
    const firing = ready(world, { ...unsettled, values });
    if (firing.size === 0 && key !== settled.join()) return true;
    for (const [variable, changes] of firing) {
      const next = [...values];
      next[variable] = changes[0]!.to;
      if (elsewhere(next)) return true;
    }
    open.delete(key);
    finished.add(key);
    return false;
  };
  return elsewhere(unsettled.values);
}

export interface Act {
  readonly values?: readonly number[];
  readonly gauges?: readonly (readonly number[])[];
  readonly held?: readonly number[];
  readonly tick?: boolean;
  /** The delayed change that this is. */
  readonly fired?: number;
  readonly movedGauge?: string;
  /** Things that a step sets, asks, lets go or looks at in this act. */
  readonly learn?: readonly string[];
  readonly done?: readonly string[];
  readonly recorded?: string;
  /** Clocks of `for` that the crew's own timing sets, in ticks. */
  readonly timed?: ReadonlyMap<number, number>;
  /** What was waited for has come. */
  readonly passes?: boolean;
}

export interface NextMoment {
  readonly state: State;
  readonly settled: Settled;
}

/** The states of a world met so far, each once, and what acts made of them: searches of one world share them. */
interface Memory {
  readonly states: Map<
    string,
    { readonly state: State; readonly number: number; readonly next: Map<string, NextMoment> }
  >;
}
const MEMORIES = new WeakMap<World, Memory>();
const NUMBERS = new WeakMap<State, { readonly number: number; readonly next: Map<string, NextMoment> }>();

/** The one object that stands for the state in this world. */
export function intern(world: World, state: State): State {
  const memory = MEMORIES.get(world) ?? { states: new Map() };
  MEMORIES.set(world, memory);
  const key = keyOf(state);
  const known = memory.states.get(key);
  if (known) return known.state;
  const entry = { state, number: memory.states.size, next: new Map<string, NextMoment>() };
  memory.states.set(key, entry);
  NUMBERS.set(state, entry);
  return state;
}

/** A number of its own for an interned state. */
export function numberOf(state: State): number {
  return NUMBERS.get(state)!.number;
}

/** The next moment after an act, a tick, a delayed change or a gauge's move, as an interned state. */
export function nextMoment(world: World, before: State, act: Act): NextMoment {
  const { next } = NUMBERS.get(before)!;
  const key = keyOfAct(act);
  const known = next.get(key);
  if (known) return known;
  const { state, settled } = makeMoment(world, before, act);
  const result = { state: intern(world, state), settled };
  next.set(key, result);
  return result;
}

function keyOfAct(act: Act): string {
  const { values, gauges, held, tick, fired, movedGauge, learn, done, recorded, timed } = act;
  return [
    values?.join(),
    gauges?.join(";"),
    held?.join(),
    tick ? "t" : "",
    fired,
    movedGauge,
    learn?.join(),
    done?.join(),
    recorded,
    timed && timed.size > 0 ? [...timed].join(";") : "",
  ].join("|");
}

function makeMoment(world: World, before: State, act: Act): NextMoment {
  const moved: State = { ...before, values: act.values ?? before.values, gauges: act.gauges ?? before.gauges };
  const settled = settle(world, moved);
  const now: State = { ...moved, values: settled.values, held: act.held ?? before.held };
  const fired = act.fired === undefined ? -1 : world.delayed[act.fired]!.variable;
  const clocks: number[] = [];
  const sinceEntry: boolean[] = [];
  world.delayed.forEach((change, index) => {
    const entered = before.values[change.variable] !== now.values[change.variable] || fired === change.variable;
    const armed = isArmed(world, now, change);
    const running = before.clocks[index]! >= 0 && !entered;
    clocks.push(armed ? (running ? before.clocks[index]! + (act.tick ? 1 : 0) : 0) : -1);
    sinceEntry.push(armed && (entered || before.sinceEntry[index]!));
  });
  const done = before.done.map((was, index) => was || (act.done?.includes(world.doneAsked[index]!) ?? false));
  const recorded = before.recorded.map((was, index) => was || act.recorded === world.recordedAsked[index]);
  const known = world.tracked.map((thing, index) => {
    if (act.learn?.includes(thing)) return true;
    if (!before.known[index]) return false;
    return (
      sameValue(world, before, { ...now, done, recorded }, thing) &&
      !(act.movedGauge && restsOn(world, thing, act.movedGauge))
    );
  });
  const half: State = { ...now, clocks, sinceEntry, done, recorded, known };
  const timed = world.timed.map(({ of, most }, index) => {
    if (!holds(world, half, of)) return 0;
    const run = holds(world, before, of) ? before.timed[index]! + (act.tick ? 1 : 0) : 0;
    return Math.min(most, Math.max(run, act.timed?.get(index) ?? 0));
  });
  return { state: { ...half, timed }, settled };
}

export function isArmed(world: World, state: State, change: Change_): boolean {
  return change.from.includes(state.values[change.variable]!) && (!change.when || holds(world, state, change.when));
}

/** Whether a delayed change may fire in this pause: it is armed, and no quicker one of the same equipment must come first. */
export function mayFire(world: World, state: State, index: number): boolean {
  const change = world.delayed[index]!;
  if (state.clocks[index]! < 0) return false;
  return !world.delayed.some(
    (other, place) =>
      place !== index &&
      other.variable === change.variable &&
      other.high < change.low &&
      state.clocks[place]! >= 0 &&
      state.sinceEntry[place]!,
  );
}

/** While the clock of an armed change reads its `hi`, time stands and nobody acts. */
export function mustFire(world: World, state: State): boolean {
  return world.delayed.some((change, index) => state.clocks[index]! >= change.high && state.clocks[index]! >= 0);
}

function sameValue(world: World, before: State, now: State, thing: string): boolean {
  const id = thing.slice(thing.indexOf(":") + 1);
  if (thing.startsWith("condition:")) {
    const condition = { kind: "named", condition: id, span: world.procedure.span } as const;
    return holds(world, before, condition) === holds(world, now, condition);
  }
  if (thing.startsWith("light:"))
    return (["lit", "flashing"] as const).every((what) => {
      const light = { kind: "light", light: id, state: what, negated: false, span: world.procedure.span } as const;
      return holds(world, before, light) === holds(world, now, light);
    });
  if (thing.startsWith("gauge:")) return true;
  const variable = world.index.get(thing)!;
  return before.values[variable] === now.values[variable];
}

/** Whether the gauge is the thing, or what a condition or light is made of. */
function restsOn(world: World, thing: string, gauge: string): boolean {
  const id = thing.slice(thing.indexOf(":") + 1);
  if (thing.startsWith("gauge:")) return id === gauge;
  const parts = thing.startsWith("condition:")
    ? [world.system.conditions.get(id)!.means]
    : thing.startsWith("light:")
      ? [world.system.lights.get(id)!.litWhen, world.system.lights.get(id)!.flashingWhen]
      : [];
  return parts.some((part) => part !== undefined && gaugesUnder(world, part).includes(gauge));
}

function gaugesUnder(world: World, part: Parameters<typeof holds>[2]): string[] {
  return thingsUnder(world, part).flatMap((thing) =>
    thing.startsWith("gauge:") ? [thing.slice("gauge:".length)] : [],
  );
}

function thingsUnder(world: World, part: Parameters<typeof holds>[2]): string[] {
  return thingsNamedIn(part).flatMap((thing) => {
    const id = thing.slice(thing.indexOf(":") + 1);
    if (thing.startsWith("condition:")) return [thing, ...thingsUnder(world, world.system.conditions.get(id)!.means)];
    if (!thing.startsWith("light:")) return [thing];
    const light = world.system.lights.get(id)!;
    return [thing, ...[light.litWhen, light.flashingWhen].flatMap((cause) => (cause ? thingsUnder(world, cause) : []))];
  });
}

/** Every state that a run may start in. */
export function* startStates(world: World): Generator<State> {
  const domains = world.variables.map((_, place) => startDomain(world, place));
  const families = world.families.map((family) =>
    family.gauges.every((id) => isFitted(world.tail, world.system.gauges.get(id)!)) || family.gauges.length > 1
      ? readingsOf(family)
      : readingsOf(family).slice(0, 1),
  );
  for (const values of product(domains))
    for (const gauges of product(families)) {
      const bare: State = {
        values,
        gauges,
        clocks: world.delayed.map(() => -1),
        sinceEntry: world.delayed.map(() => false),
        timed: world.timed.map(() => 0),
        known: world.tracked.map(() => false),
        done: world.doneAsked.map(() => false),
        recorded: world.recordedAsked.map(() => false),
        held: world.variables.map(() => -1),
      };
      if ([...world.guards].some(([guard, { over, at, closed }]) => values[guard] === closed && values[over] !== at))
        continue;
      if (!isSettled(world, bare) || !world.procedure.begins.every((begin) => holds(world, bare, begin))) continue;
      const armed = world.delayed.map((change) => isArmed(world, bare, change));
      yield intern(world, {
        ...bare,
        clocks: armed.map((is) => (is ? 0 : -1)),
        sinceEntry: armed.map((is, index) => is && !world.delayed[index]!.when),
      });
    }
}

function startDomain(world: World, place: number): number[] {
  const variable = world.variables[place]!;
  if (!variable.fitted) return [0];
  return variable.domain
    .map((_, value) => value)
    .filter((value) => !world.springs.get(place)?.has(value))
    .filter((value) =>
      world.procedure.begins.every(
        (begin) =>
          begin.kind !== "is" ||
          begin.of !== variable.kind ||
          begin.thing !== variable.id ||
          begin.values.includes(variable.domain[value]!) !== begin.negated,
      ),
    );
}

function* product<T>(lists: readonly (readonly T[])[]): Generator<T[]> {
  if (lists.length === 0) {
    yield [];
    return;
  }
  for (const rest of product(lists.slice(0, -1))) for (const value of lists.at(-1)!) yield [...rest, value];
}
