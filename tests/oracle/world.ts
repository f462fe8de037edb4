import type { Condition } from "../../src/program/condition.js";
import type { Procedure, Step } from "../../src/program/procedure.js";
import { type Program, ruleIsFor } from "../../src/program/program.js";
import type { Rule } from "../../src/program/rule.js";
import type { Change, Light, System, Tail, Thing } from "../../src/program/system.js";
import { type Family, familiesOf } from "./gauges.js";
import { conditionsOfRule, conditionsOfStep, everyStep, spell, thingsNamed, within } from "./text.js";

/** A thing that stands somewhere: a control, a piece of equipment (also the memory of a light), something outside. */
export interface Variable {
  readonly kind: "control" | "equipment" | "outside";
  readonly id: string;
  readonly domain: readonly string[];
  readonly fitted: boolean;
}

export interface Change_ {
  readonly variable: number;
  readonly from: readonly number[];
  readonly to: number;
  readonly when?: Condition;
  /** In ticks. */
  readonly low: number;
  readonly high: number;
}

/** One system on one tail, ready to be walked through by one procedure. */
export interface World {
  readonly program: Program;
  readonly system: System;
  readonly procedure: Procedure;
  readonly tail: Tail;
  readonly rules: readonly Rule[];
  readonly variables: readonly Variable[];
  readonly index: ReadonlyMap<string, number>;
  readonly places: Map<Condition, number>;
  /** `guards[v]`: over which variable a guard lies, and where that stands under the closed guard. */
  readonly guards: ReadonlyMap<
    number,
    { readonly over: number; readonly at: number; readonly closed: number; readonly open: number }
  >;
  readonly guardOf: ReadonlyMap<number, number>;
  readonly springs: ReadonlyMap<number, ReadonlyMap<number, number>>;
  /** Immediate changes by variable, in written order. */
  readonly immediate: ReadonlyMap<number, readonly Change_[]>;
  readonly delayed: readonly Change_[];
  readonly families: readonly Family[];
  readonly gauge: ReadonlyMap<string, { readonly family: number; readonly place: number }>;
  /** Milliseconds. */
  readonly tick: number;
  /** For each `(P) for T`: P, and the longest T in ticks. */
  readonly timed: readonly { readonly of: Condition; readonly most: number }[];
  readonly timedIndex: ReadonlyMap<string, number>;
  /** Things that some `checked` asks about, by kind and id. */
  readonly tracked: readonly string[];
  readonly doneAsked: readonly string[];
  readonly recordedAsked: readonly string[];
}

/** A settled state of the world. Indices are those of the world's lists. */
export interface State {
  readonly values: readonly number[];
  readonly gauges: readonly (readonly number[])[];
  /** Ticks since a delayed change was armed; -1 where it is not. */
  readonly clocks: readonly number[];
  readonly sinceEntry: readonly boolean[];
  readonly timed: readonly number[];
  readonly known: readonly boolean[];
  readonly done: readonly boolean[];
  readonly recorded: readonly boolean[];
  /** By variable: the lane that holds it, or -1. */
  readonly held: readonly number[];
}

const nowhere = { file: { path: "oracle", text: "" }, start: 0, end: 0 };

export function buildWorld(program: Program, procedure: Procedure, tail: Tail): World {
  const system = program.systems.get(procedure.system)!;
  const rules = program.rules.filter(
    (rule) => ruleIsFor(rule, procedure) && (!rule.applies || fits(tail, rule.applies)),
  );
  const variables: Variable[] = [];
  const add = (kind: Variable["kind"], thing: Thing, domain: readonly string[]) =>
    variables.push({ kind, id: thing.id, domain, fitted: isFitted(tail, thing) });
  for (const control of system.controls.values())
    add(
      "control",
      control,
      control.positions.map((position) => position.id),
    );
  for (const equipment of system.equipment.values()) add("equipment", equipment, equipment.states);
  for (const outside of system.outside.values()) add("outside", outside, outside.states);
  const memories = [...system.lights.values()].flatMap(memoriesOfLight);
  for (const memory of memories) add("equipment", memory.light, memory.states);
  memories.forEach((memory, index) => {
    const place = variables.length - memories.length + index;
    variables[place] = { ...variables[place]!, id: memory.id };
  });
  const index = new Map(variables.map((variable, place) => [`${variable.kind}:${variable.id}`, place]));

  const changes = [
    ...[...system.equipment.values()].flatMap((equipment) =>
      equipment.changes.map((change) => ({ id: equipment.id, change })),
    ),
    ...memories.flatMap((memory) => memory.changes.map((change) => ({ id: memory.id, change }))),
  ].filter(({ id, change }) => !change.anytime && variables[index.get(`equipment:${id}`)!]!.fitted);

  const steps = [...everyStep(procedure.steps)];
  const conditions = [
    ...procedure.begins,
    ...procedure.ends,
    ...steps.flatMap(conditionsOfStep),
    ...rules.flatMap(conditionsOfRule),
    ...[...program.procedures.values()].flatMap((other) => other.begins),
    ...[...system.conditions.values()].map((condition) => condition.means),
    ...[...system.equipment.values()].flatMap((equipment) => equipment.changes.flatMap((change) => change.when ?? [])),
    ...[...system.lights.values()].flatMap((light) =>
      [light.litWhen, light.flashingWhen, light.latchedUntil, light.cancelledBy].filter((part) => part !== undefined),
    ),
    ...[...system.gauges.values()].flatMap((gauge) => gauge.moves ?? []),
  ];
  const atoms = conditions.flatMap((condition) => [...within(condition)]);
  const times = atoms.flatMap((atom) => (atom.kind === "for" ? [atom.milliseconds] : []));
  for (const { change } of changes) if (change.takes) times.push(change.takes.low, change.takes.high);
  for (const step of steps) {
    if (step.kind === "wait") times.push(step.milliseconds);
    if (step.kind === "hold" && step.for && !step.for.upTo) times.push(step.for.milliseconds);
    if (step.kind === "repeat" && step.every) times.push(step.every);
  }
  for (const control of system.controls.values()) if (control.duty?.rest) times.push(control.duty.rest);
  const tick = times.reduce((a, b) => divisor(a, b), 0) || 1;

  const toChange = ({ id, change }: { id: string; change: Change }): Change_ => {
    const variable = index.get(`equipment:${id}`)!;
    const domain = variables[variable]!.domain;
    return {
      variable,
      from: change.from.map((state) => domain.indexOf(state)),
      to: domain.indexOf(change.to),
      ...(change.when ? { when: change.when } : {}),
      low: (change.takes?.low ?? 0) / tick,
      high: (change.takes?.high ?? 0) / tick,
    };
  };
  const immediate = new Map<number, Change_[]>();
  for (const entry of changes.filter(({ change }) => !change.takes && change.when)) {
    const change = toChange(entry);
    immediate.set(change.variable, [...(immediate.get(change.variable) ?? []), change]);
  }

  const guards = new Map<number, { over: number; at: number; closed: number; open: number }>();
  const guardOf = new Map<number, number>();
  const springs = new Map<number, Map<number, number>>();
  for (const control of system.controls.values()) {
    const place = index.get(`control:${control.id}`)!;
    const domain = variables[place]!.domain;
    if (control.guards && variables[place]!.fitted) {
      const over = index.get(`control:${control.guards.control}`)!;
      const at = variables[over]!.domain.indexOf(control.guards.position);
      guards.set(place, { over, at, closed: domain.indexOf("closed"), open: domain.indexOf("open") });
      guardOf.set(over, place);
    }
    springs.set(place, new Map([...control.springs].map(([from, to]) => [domain.indexOf(from), domain.indexOf(to)])));
  }

  const families = familiesOf([...system.gauges.values()], atoms);
  const gauge = new Map<string, { family: number; place: number }>();
  families.forEach((family, number) => {
    for (const [place, id] of family.gauges.entries()) gauge.set(id, { family: number, place });
  });

  const timed = new Map<string, { of: Condition; most: number }>();
  for (const atom of atoms)
    if (atom.kind === "for") {
      const key = spell(atom.of);
      timed.set(key, { of: atom.of, most: Math.max(timed.get(key)?.most ?? 0, atom.milliseconds / tick) });
    }
  const tracked = new Set<string>();
  const track = (condition: Condition) => {
    for (const thing of thingsNamed(condition)) {
      if (tracked.has(thing)) continue;
      tracked.add(thing);
      if (thing.startsWith("condition:")) track(system.conditions.get(thing.slice("condition:".length))!.means);
    }
  };
  for (const atom of atoms) if (atom.kind === "checked") track(atom.of);
  const asked = (kind: "done" | "recorded") => [
    ...new Set(atoms.flatMap((atom) => (atom.kind === kind ? [atom.kind === "done" ? atom.step : atom.gauge] : []))),
  ];
  return {
    program,
    system,
    procedure,
    tail,
    rules,
    variables,
    index,
    places: new Map(),
    guards,
    guardOf,
    springs,
    immediate,
    delayed: changes.filter(({ change }) => change.takes).map(toChange),
    families,
    gauge,
    tick,
    timed: [...timed.values()],
    timedIndex: new Map([...timed.keys()].map((key, place) => [key, place])),
    tracked: [...tracked],
    doneAsked: asked("done"),
    recordedAsked: asked("recorded"),
  };
}

export function isFitted(tail: Tail, thing: Thing): boolean {
  return !thing.fitted || fits(tail, thing.fitted);
}

/** A condition over fit variables only. */
export function fits(tail: Tail, c: Condition): boolean {
  if (c.kind === "constant") return c.value;
  if (c.kind === "and") return c.of.every((part) => fits(tail, part));
  if (c.kind === "or") return c.of.some((part) => fits(tail, part));
  if (c.kind === "not") return !fits(tail, c.of);
  if (c.kind !== "is" || c.of !== "fit") throw new Error(`not a condition on the fit: ${spell(c)}`);
  return c.values.includes(tail.fit.get(c.thing) ?? "") !== c.negated;
}

export function appliesHere(world: World, step: Step): boolean {
  return !step.applies || fits(world.tail, step.applies);
}

/** What a look may find where the truth alone does not say it: by the spelling of a `for`, by the id of a light without logic. */
export interface Reading {
  readonly timed?: ReadonlyMap<string, boolean>;
  readonly lamps?: ReadonlyMap<string, boolean>;
  /** The moment by which a `for` is judged, where that is another. */
  readonly timedAt?: State;
}

/** Whether the condition holds in the state. */
export function holds(world: World, state: State, c: Condition, reading: Reading = {}): boolean {
  switch (c.kind) {
    case "constant":
      return c.value;
    case "and":
      return c.of.every((part) => holds(world, state, part, reading));
    case "or":
      return c.of.some((part) => holds(world, state, part, reading));
    case "not":
      return !holds(world, state, c.of, reading);
    case "is": {
      if (c.of === "fit") return c.values.includes(world.tail.fit.get(c.thing) ?? "") !== c.negated;
      const variable = variableOf(world, c);
      const { domain, fitted } = world.variables[variable]!;
      return fitted && c.values.includes(domain[state.values[variable]!]!) !== c.negated;
    }
    case "fitted":
      return fittedByName(world, c.thing);
    case "light": {
      const light = world.system.lights.get(c.light)!;
      if (!isFitted(world.tail, light)) return false;
      return lightIs(world, state, light, c.state, reading) !== c.negated;
    }
    case "named": {
      const named = world.system.conditions.get(c.condition)!;
      return isFitted(world.tail, named) && holds(world, state, named.means, reading);
    }
    case "compare": {
      const sides = [c.left, c.right].map((term) => {
        if (term.kind === "gauge") return { gauge: term.gauge };
        return { value: term.value.value };
      });
      const owner = sides.find((side) => side.gauge !== undefined)!.gauge!;
      const family = world.families[world.gauge.get(owner)!.family]!;
      if (sides.some((side) => side.gauge !== undefined && !gaugeFitted(world, side.gauge))) return false;
      const [left, right] = sides.map((side) =>
        side.gauge !== undefined ? readingOf(world, state, side.gauge) : family.scale(side.value!) * family.unit,
      ) as [number, number];
      switch (c.operator) {
        case "<":
          return left < right;
        case "<=":
          return left <= right;
        case "=":
          return left === right;
        case "!=":
          return left !== right;
        case ">=":
          return left >= right;
        case ">":
          return left > right;
      }
      throw new Error("unknown operator");
    }
    case "near": {
      if (!gaugeFitted(world, c.left) || !gaugeFitted(world, c.right)) return false;
      const family = world.families[world.gauge.get(c.left)!.family]!;
      const apart = Math.abs(readingOf(world, state, c.left) - readingOf(world, state, c.right));
      return apart <= family.scale(c.distance.value) * family.unit;
    }
    case "band": {
      if (!gaugeFitted(world, c.gauge)) return false;
      const family = world.families[world.gauge.get(c.gauge)!.family]!;
      const value = readingOf(world, state, c.gauge);
      const low = c.low ? family.scale(c.low.value) * family.unit : -Infinity;
      const high = c.high ? family.scale(c.high.value) * family.unit : Infinity;
      return (value >= low && value <= high) !== c.negated;
    }
    case "for": {
      const told = reading.timed?.get(spell(c));
      if (told !== undefined) return told;
      const at = reading.timedAt ?? state;
      const clock = at.timed[world.timedIndex.get(spell(c.of))!]!;
      return holds(world, at, c.of) && clock >= c.milliseconds / world.tick;
    }
    case "checked":
      return knownTruth(world, state, c.of) === true;
    case "done":
      return state.done[world.doneAsked.indexOf(c.step)]!;
    case "recorded":
      return state.recorded[world.recordedAsked.indexOf(c.gauge)]!;
  }
}

/** Where the thing of the atom stands, remembered by the atom. */
function variableOf(world: World, atom: Extract<Condition, { kind: "is" }>): number {
  const known = world.places.get(atom);
  if (known !== undefined) return known;
  const place = world.index.get(`${atom.of}:${atom.thing}`)!;
  world.places.set(atom, place);
  return place;
}

export function readingOf(world: World, state: State, gauge: string): number {
  const { family, place } = world.gauge.get(gauge)!;
  return state.gauges[family]![place]!;
}

function gaugeFitted(world: World, id: string): boolean {
  return isFitted(world.tail, world.system.gauges.get(id)!);
}

function fittedByName(world: World, id: string): boolean {
  const { controls, gauges, equipment, outside, conditions, lights } = world.system;
  const things = [controls, gauges, equipment, outside, conditions, lights].flatMap((map) => map.get(id) ?? []);
  return things.every((thing) => isFitted(world.tail, thing as Thing));
}

export function isLit(world: World, state: State, light: Light, reading: Reading = {}): boolean {
  return lightIs(world, state, light, "lit", reading);
}

function lightIs(
  world: World,
  state: State,
  light: Light,
  what: "lit" | "out" | "flashing",
  reading: Reading,
): boolean {
  if (!light.litWhen && !light.flashingWhen) {
    const lit = reading.lamps?.get(light.id) ?? false;
    return what === "out" ? !lit : lit;
  }
  const memory = (suffix: string): boolean => {
    const variable = world.index.get(`equipment:${light.id}${suffix}`);
    return variable !== undefined && state.values[variable] === 1;
  };
  const flashing = light.flashingWhen !== undefined && holds(world, state, light.flashingWhen, reading);
  const caused = flashing || (light.litWhen !== undefined && holds(world, state, light.litWhen, reading));
  const lit = (caused || memory(latch)) && !memory(cancel);
  if (what === "lit") return lit;
  return what === "out" ? !lit : lit && flashing;
}

const latch = "~latched";
const cancel = "~cancelled";

/** A latched or cancelled light is short for equipment with two states: 0 and, where it counts, 1. */
function memoriesOfLight(light: Light): { id: string; light: Light; states: string[]; changes: Change[] }[] {
  const causes = [light.litWhen, light.flashingWhen].filter((part) => part !== undefined);
  const cause: Condition = { kind: "or", of: causes, span: nowhere };
  const is = (suffix: string, state: string): Condition => ({
    kind: "is",
    of: "equipment",
    thing: light.id + suffix,
    values: [state],
    negated: false,
    span: nowhere,
  });
  const all = (...of: Condition[]): Condition => ({ kind: "and", of, span: nowhere });
  const any = (...of: Condition[]): Condition => ({ kind: "or", of, span: nowhere });
  const not = (of: Condition): Condition => ({ kind: "not", of, span: nowhere });
  const change = (from: string, to: string, when: Condition): Change => ({
    from: [from],
    to,
    when,
    anytime: false,
    span: nowhere,
  });
  const no: Condition = { kind: "constant", value: false, span: nowhere };
  const latched = light.latchedUntil ? is(latch, "yes") : no;
  const cancelled = light.cancelledBy ? is(cancel, "yes") : no;
  const memories = [];
  if (light.latchedUntil)
    memories.push({
      id: light.id + latch,
      light,
      states: ["no", "yes"],
      changes: [change("no", "yes", cause), change("yes", "no", all(not(cause), any(light.latchedUntil, cancelled)))],
    });
  if (light.cancelledBy)
    memories.push({
      id: light.id + cancel,
      light,
      states: ["no", "yes"],
      changes: [
        change("no", "yes", all(any(cause, latched), light.cancelledBy)),
        change("yes", "no", all(not(cause), not(latched))),
      ],
    });
  return memories;
}

/** Three-valued: things that are not known are neither true nor false. */
function knownTruth(world: World, state: State, c: Condition): boolean | undefined {
  switch (c.kind) {
    case "and":
    case "or": {
      const decisive = c.kind === "or";
      const parts = c.of.map((part) => knownTruth(world, state, part));
      if (parts.includes(decisive)) return decisive;
      return parts.includes(undefined) ? undefined : !decisive;
    }
    case "not": {
      const inner = knownTruth(world, state, c.of);
      return inner === undefined ? undefined : !inner;
    }
    case "named": {
      const named = world.system.conditions.get(c.condition)!;
      if (!isFitted(world.tail, named)) return false;
      return isKnown(world, state, `condition:${c.condition}`)
        ? holds(world, state, c)
        : knownTruth(world, state, named.means);
    }
    default: {
      const fittedThings = thingsNamed(c).filter((thing) => fittedByName(world, thing.slice(thing.indexOf(":") + 1)));
      if (fittedThings.length < thingsNamed(c).length) return holds(world, state, c);
      return fittedThings.every((thing) => isKnown(world, state, thing)) ? holds(world, state, c) : undefined;
    }
  }
}

function isKnown(world: World, state: State, thing: string): boolean {
  return state.known[world.tracked.indexOf(thing)] ?? false;
}

/** The outcomes that one look at the condition may have, and the clocks that the crew's own timing sets. */
export function looks(
  world: World,
  state: State,
  c: Condition,
): { truth: boolean; timed: ReadonlyMap<number, number> }[] {
  const options: [string, "timed" | "lamps", boolean[], Condition][] = [];
  for (const atom of deepAtoms(world, c)) {
    if (atom.kind === "for") {
      const so = holds(world, state, atom.of);
      const full = holds(world, state, atom);
      options.push([spell(atom), "timed", so ? (full ? [true] : [true, false]) : [false], atom]);
    } else if (atom.kind === "light") {
      const light = world.system.lights.get(atom.light)!;
      if (!light.litWhen && !light.flashingWhen) options.push([light.id, "lamps", [true, false], atom]);
    }
  }
  let readings = [
    { timed: new Map<string, boolean>(), lamps: new Map<string, boolean>(), clocks: new Map<number, number>() },
  ];
  for (const [key, what, truths, atom] of options)
    readings = readings.flatMap((reading) =>
      truths.map((truth) => {
        const next = { timed: new Map(reading.timed), lamps: new Map(reading.lamps), clocks: new Map(reading.clocks) };
        next[what].set(key, truth);
        if (atom.kind === "for" && truth) {
          const place = world.timedIndex.get(spell(atom.of))!;
          next.clocks.set(place, Math.max(next.clocks.get(place) ?? 0, atom.milliseconds / world.tick));
        }
        return next;
      }),
    );
  return readings.map((reading) => ({ truth: holds(world, state, c, reading), timed: reading.clocks }));
}

/** The atoms of a condition, named conditions opened; nothing inside a `for` or a `checked`. */
export function* deepAtoms(world: World, c: Condition): Generator<Condition> {
  if (c.kind === "and" || c.kind === "or") for (const part of c.of) yield* deepAtoms(world, part);
  else if (c.kind === "not") yield* deepAtoms(world, c.of);
  else if (c.kind === "named") yield* deepAtoms(world, world.system.conditions.get(c.condition)!.means);
  else yield c;
}

/** Two states with the same key are the same state. */
export function keyOf(state: State): string {
  const bits = (list: readonly boolean[]) => list.map((bit) => (bit ? 1 : 0)).join("");
  return [
    state.values.join(),
    state.gauges.join(";"),
    state.clocks.join(),
    bits(state.sinceEntry),
    state.timed.join(),
    bits(state.known),
    bits(state.done),
    bits(state.recorded),
    state.held.some((lane) => lane >= 0) ? state.held.join() : "",
  ].join("/");
}

function divisor(a: number, b: number): number {
  return b === 0 ? a : divisor(b, a % b);
}
