import type { Change, Equipment } from "../../program/system.js";
import { and, differs, type Expression, equals, FALSE, isIn, not, or, type Variable } from "../expression.js";
import { type Assignment, assign, type Case, type Choice, choose, type Operation } from "../operation.js";
import { inputsOf, type Memory } from "./memory.js";
import { range, type World } from "./world.js";

/** How the equipment of a world moves by itself. */
export interface Dynamics {
  /** Immediate changes, one choice for each piece of equipment; a latch or a cancelled light is a piece of its own. */
  readonly immediate: readonly Immediate[];
  /** No immediate change can fire. */
  readonly settled: Expression;
  readonly delayed: readonly Delayed[];
  /** An armed change has come to the end of its time: it fires before any act and any tick. */
  readonly forced: Expression;
  /** A change without any time of its own is armed: it alone can come to the end of its time by anything but a tick. */
  readonly instant: Expression;
  readonly memories: readonly Memory[];
}

export interface Immediate {
  readonly variable: Variable;
  readonly choice: Choice;
  readonly equipment?: Equipment;
  /** Two changes with different targets that can fire at once: the state in which they can. */
  readonly conflicts: readonly { readonly first: Change; readonly second: Change; readonly when: Expression }[];
}

export interface Delayed {
  readonly equipment: Equipment;
  readonly change: Change;
  readonly mayFire: Expression;
  readonly fire: readonly Operation[];
  /** Advances its clock by a tick. */
  readonly tick: readonly Operation[];
}

/** Takes up all equipment of the system that is fitted, and the latches of its lights. */
export function dynamicsOf(world: World): Dynamics {
  for (const light of world.system.lights.values())
    if ((light.latchedUntil || light.cancelledBy) && world.isFitted(light.id)) world.lowerLight(light.id, "lit");
  const pieces = [...world.system.equipment.values()].flatMap((equipment) => {
    const variable = world.equipment(equipment.id);
    return variable ? [{ equipment, variable }] : [];
  });
  const immediate = pieces.map(({ equipment, variable }) => immediateOf(world, equipment, variable));
  const clocks = pieces.flatMap(({ equipment, variable }) => delayedOf(world, equipment, variable));
  const latches = latchesOf(world);
  const all = [...immediate, ...latches].filter((piece) => piece.choice.length > 0);
  return {
    immediate: all,
    settled: not(or(...all.flatMap((piece) => piece.choice.map((one) => one.when)))),
    delayed: clocks.map((clock) => clock.delayed),
    forced: or(...clocks.map((clock) => clock.forced)),
    instant: or(...clocks.flatMap(({ delayed, isArmed }) => (delayed.change.takes!.high === 0 ? [isArmed] : []))),
    memories: clocks.flatMap((clock) => clock.memories),
  };
}

function immediateOf(world: World, equipment: Equipment, variable: Variable): Immediate {
  const changes = equipment.changes.filter((change) => !change.takes && !change.anytime && change.when);
  const cases = changes.map((change) => ({ change, when: armed(world, equipment, variable, change) }));
  const conflicts = cases.flatMap((first, index) =>
    cases
      .slice(index + 1)
      .filter((second) => second.change.to !== first.change.to)
      .map((second) => ({ first: first.change, second: second.change, when: and(first.when, second.when) })),
  );
  return {
    variable,
    equipment,
    choice: cases.map(({ change, when }) => ({
      when,
      assign: [{ variable, value: world.valueOf(equipment.id, change.to) }],
    })),
    conflicts,
  };
}

function armed(world: World, equipment: Equipment, variable: Variable, change: Change): Expression {
  const from = change.from.filter((state) => state !== change.to).map((state) => world.valueOf(equipment.id, state));
  return and(isIn(variable, from), change.when ? world.lower(change.when) : and());
}

interface Clock {
  readonly delayed: Delayed;
  readonly isArmed: Expression;
  readonly forced: Expression;
  readonly memories: readonly Memory[];
}

function delayedOf(world: World, equipment: Equipment, variable: Variable): readonly Clock[] {
  const changes = equipment.changes.filter((change) => change.takes && !change.anytime);
  if (changes.length === 0) return [];
  const entered = enteringOf(world, variable);
  const armedBy = new Map(changes.map((change) => [change, armed(world, equipment, variable, change)]));
  const sinceBy = new Map<Change, Since>();
  const resets = changes.map((change) => clockOf(world, equipment, change)).filter((clock) => clock !== undefined);
  return changes.map((change) => {
    const isArmed = armedBy.get(change)!;
    const clock = clockOf(world, equipment, change);
    const rivals = changes.filter((other) => other !== change && other.takes!.high < change.takes!.low);
    const memories: Memory[] = clock ? [clockMemory(world, variable, isArmed, clock, entered)] : [];
    const blocked = rivals.map((rival) => {
      if (!rival.when) return armedBy.get(rival)!;
      const since = sinceBy.get(rival) ?? sinceOf(world, equipment, rival, armedBy.get(rival)!, entered);
      if (!sinceBy.has(rival)) memories.push(since.memory);
      sinceBy.set(rival, since);
      return equals(since.mark, 1);
    });
    return {
      delayed: {
        equipment,
        change,
        mayFire: and(isArmed, not(or(...blocked))),
        fire: [
          assign(variable, world.valueOf(equipment.id, change.to)),
          assign(entered.copy, variable.size),
          ...resets.map((one) => assign(one, 0)),
        ],
        tick: clock ? [advance(clock, isArmed)] : [],
      },
      isArmed,
      forced: clock ? and(isArmed, equals(clock, clock.size - 1)) : change.takes!.high === 0 ? isArmed : FALSE,
      memories,
    };
  });
}

/** The copy of a piece's state that tells whether it was entered anew: a firing sets it to a value that no state has. */
interface Entering {
  readonly variable: Variable;
  readonly copy: Variable;
  readonly anew: Expression;
}

function enteringOf(world: World, variable: Variable): Entering {
  const copy = world.variable(`before ${variable.name}`, variable.size + 1, { kind: "before" });
  return { variable, copy, anew: differs(variable, copy) };
}

function clockOf(world: World, equipment: Equipment, change: Change): Variable | undefined {
  const ticks = world.times.tick === 0 ? 0 : world.ticks(change.takes!.high);
  if (ticks === 0) return undefined;
  const at = equipment.changes.indexOf(change);
  return world.variable(`clock ${at} of ${equipment.id}`, ticks + 1, { kind: "memory" });
}

function clockMemory(
  world: World,
  variable: Variable,
  isArmed: Expression,
  clock: Variable,
  entered: Entering,
): Memory {
  const wasArmed = world.variable(`before armed ${clock.name}`, 2, { kind: "before" });
  const reset: readonly Assignment[] = [{ variable: clock, value: 0 }];
  return {
    name: clock.name,
    variables: [clock],
    inputs: inputsOf(isArmed, equals(variable, 0)),
    before: [
      { kind: "remember", variable: wasArmed, truth: isArmed },
      { kind: "copy", variable: entered.copy, of: variable },
    ],
    after: [choose({ when: or(not(isArmed), equals(wasArmed, 0), entered.anew), assign: reset })],
    scratch: [wasArmed, entered.copy],
  };
}

interface Since {
  readonly mark: Variable;
  readonly memory: Memory;
}

/** Whether a change has been armed ever since its equipment entered its present state in this run. */
function sinceOf(world: World, equipment: Equipment, change: Change, isArmed: Expression, entered: Entering): Since {
  const mark = world.mark(`armed since ${equipment.changes.indexOf(change)} of ${equipment.id}`);
  return {
    mark,
    memory: {
      name: mark.name,
      variables: [mark],
      inputs: inputsOf(isArmed, equals(entered.variable, 0)),
      before: [{ kind: "copy", variable: entered.copy, of: entered.variable }],
      after: [
        choose(
          { when: not(isArmed), assign: [{ variable: mark, value: 0 }] },
          { when: entered.anew, assign: [{ variable: mark, value: 1 }] },
        ),
      ],
      scratch: [entered.copy],
    },
  };
}

/** One tick more on a clock while `running` holds, up to its last value. */
export function advance(clock: Variable, running: Expression): Operation {
  const cases: readonly Case[] = range(0, clock.size - 2).map((value) => ({
    when: and(equals(clock, value), running),
    assign: [{ variable: clock, value: value + 1 }],
  }));
  return { kind: "choose", cases, only: running };
}

/** The memories of `checked` and of `(P) for T`, for all that was asked for so far. */
export function memoriesOfConditions(world: World): {
  readonly memories: readonly Memory[];
  readonly ticks: readonly Operation[];
} {
  const known = [...world.known.values()].flatMap(({ thing, mark }) => knownMemory(world, thing, mark));
  const held = [...world.heldFor.values()];
  const clocks = held.map(({ truth, clock }): Memory => {
    const was = world.variable(`before ${clock.name}`, 2, { kind: "before" });
    return {
      name: clock.name,
      variables: [clock],
      inputs: inputsOf(truth),
      before: [{ kind: "remember", variable: was, truth }],
      after: [choose({ when: or(not(truth), equals(was, 0)), assign: [{ variable: clock, value: 0 }] })],
      scratch: [was],
    };
  });
  return { memories: [...known, ...clocks], ticks: held.map(({ truth, clock }) => advance(clock, truth)) };
}

/** A thing stops being known when its value changes without a step that names it. Controls and what is outside change by steps only. */
function knownMemory(world: World, thing: string, mark: Variable): readonly Memory[] {
  const forget: readonly Assignment[] = [{ variable: mark, value: 0 }];
  const equipment = world.equipment(thing);
  if (equipment) {
    const copy = world.variable(`before value of ${thing}`, equipment.size, { kind: "before" });
    const memory: Memory = {
      name: mark.name,
      variables: [mark],
      inputs: new Set([equipment]),
      before: [{ kind: "copy", variable: copy, of: equipment }],
      after: [choose({ when: differs(equipment, copy), assign: forget })],
      scratch: [copy],
    };
    return [memory];
  }
  return truthsOf(world, thing).map((truth, index): Memory => {
    const was = world.variable(`before ${index} of ${thing}`, 2, { kind: "before" });
    const changed = or(and(truth, equals(was, 0)), and(not(truth), equals(was, 1)));
    return {
      name: mark.name,
      variables: [mark],
      inputs: inputsOf(truth),
      before: [{ kind: "remember", variable: was, truth }],
      after: [choose({ when: changed, assign: forget })],
      scratch: [was],
    };
  });
}

function truthsOf(world: World, thing: string): readonly Expression[] {
  if (world.system.lights.has(thing)) return [world.lowerLight(thing, "lit"), world.lowerLight(thing, "flashing")];
  return world.system.conditions.has(thing) ? [world.lowerNamed(thing)] : [];
}

function latchesOf(world: World): readonly Immediate[] {
  return [...world.latches.values()].flatMap(({ cause, until, cancel, latched, cancelled }) => {
    const live = cancelled ? equals(cancelled, 0) : and();
    const pieces: Immediate[] = [];
    if (latched) {
      const on = and(equals(latched, 0), cause, live, not(cancel));
      const off = and(equals(latched, 1), or(and(until, not(cause)), cancel));
      pieces.push({ variable: latched, choice: flips(latched, on, off), conflicts: [] });
    }
    if (cancelled) {
      const stop = and(equals(cancelled, 0), cause, cancel);
      pieces.push({
        variable: cancelled,
        choice: flips(cancelled, stop, and(equals(cancelled, 1), not(cause))),
        conflicts: [],
      });
    }
    return pieces;
  });
}

function flips(variable: Variable, on: Expression, off: Expression): Choice {
  return [
    { when: on, assign: [{ variable, value: 1 }] },
    { when: off, assign: [{ variable, value: 0 }] },
  ];
}
