import type { Condition } from "../../program/condition.js";
import type { Fault } from "../../program/coverage.js";
import type { Procedure } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";
import type { Change, Light, NamedCondition, System } from "../../program/system.js";
import type { Span } from "../../source/file.js";
import { changeOwner, mapReadings } from "./faults.js";

/** The thing that says which fault there is: `none`, or the id of one. No author's id has a blank in it. */
export const FAULT = "the fault";

/** A light as its wiring would have it, whatever its lamp does: what the logic reads. */
export function asWired(light: string): string {
  return `${light} as wired`;
}

/** A light as it would be in the same state without any fault. */
export function unharmed(light: string): string {
  return `${light} unharmed`;
}

/**
 * The program in which one of the faults, or none, is there from the start and stays. The logic reads through them;
 * procedures read conditions and handles as they truly are, and lights as they show. Rules and promises are left out:
 * they are not asked about.
 */
export function withFaults(
  program: Program,
  procedure: Procedure,
  faults: readonly Fault[],
): { readonly program: Program; readonly system: System; readonly procedure: Procedure } {
  const system = injected(program.systems.get(procedure.system)!, faults);
  const { next: _next, ...rest } = procedure;
  const alone: Procedure = { ...rest, ends: [], covers: [] };
  const systems = new Map([...program.systems, [system.id, system]]);
  const procedures = new Map([...program.procedures, [alone.id, alone]]);
  return { program: { ...program, systems, procedures, rules: [] }, system, procedure: alone };
}

function injected(system: System, faults: readonly Fault[]): System {
  const wiring = new Wiring(system, faults);
  const conditions = [...system.conditions.values()].flatMap((condition): NamedCondition[] => [
    condition,
    { ...condition, id: asWired(condition.id), means: wiring.condition(condition) },
  ]);
  const lights = [...system.lights.values()].flatMap((light): Light[] =>
    light.litWhen || light.flashingWhen
      ? [wiring.lamp(light), wiring.light(light), { ...light, id: unharmed(light.id) }]
      : [light],
  );
  const equipment = [...system.equipment.values()].map((piece) => ({
    ...piece,
    changes: piece.changes.map((change, index): Change => {
      return change.when ? { ...change, when: wiring.read(change.when, changeOwner(piece.id, index)) } : change;
    }),
  }));
  const states = ["none", ...faults.map(({ id }) => id)];
  const fault = { kind: "outside", id: FAULT, label: FAULT, family: FAULT, states, span: system.span } as const;
  return {
    ...system,
    conditions: byId(conditions),
    lights: byId(lights),
    equipment: byId(equipment),
    outside: new Map([...system.outside, [FAULT, fault]]),
  };
}

function byId<T extends { readonly id: string }>(things: readonly T[]): ReadonlyMap<string, T> {
  return new Map(things.map((thing) => [thing.id, thing]));
}

/** How the logic reads, with some faults about. */
class Wiring {
  private readonly byPlace = new Map<string, Fault[]>();
  private readonly span: Span;

  constructor(
    private readonly system: System,
    faults: readonly Fault[],
  ) {
    this.span = system.span;
    for (const fault of faults) {
      const place = fault.kind === "use" ? fault.id.slice("use ".length, -fault.stuck.length - 1) : placeOf(fault);
      this.byPlace.set(place, [...(this.byPlace.get(place) ?? []), fault]);
    }
  }

  condition({ id, means }: NamedCondition): Condition {
    return this.stuckTruth(this.read(means, `condition ${id}`), this.faultsAt(`condition ${id}`));
  }

  /** The light that is seen: its signal, through its lamp. */
  lamp(light: Light): Light {
    const { litWhen: _lit, flashingWhen, latchedUntil: _latched, cancelledBy: _cancelled, ...rest } = light;
    const at = this.faultsAt(`light ${light.id}`);
    const forced = at.map((fault) => ({ ...fault, stuck: fault.stuck === "lit" ? "true" : "false" }));
    const signal = (state: "lit" | "flashing"): Condition => ({
      kind: "light",
      light: asWired(light.id),
      state,
      negated: false,
      span: this.span,
    });
    const steady = this.stuckAs(
      signal("flashing"),
      [],
      at.map(({ id }) => id),
    );
    return { ...rest, litWhen: this.stuckTruth(signal("lit"), forced), ...(flashingWhen && { flashingWhen: steady }) };
  }

  /** The signal that its lamp gets. */
  light(light: Light): Light {
    const { id, litWhen, flashingWhen, latchedUntil, cancelledBy } = light;
    return {
      ...light,
      id: asWired(id),
      ...(litWhen && { litWhen: this.read(litWhen, `light ${id} lit-when`) }),
      ...(flashingWhen && { flashingWhen: this.read(flashingWhen, `light ${id} flashing-when`) }),
      ...(latchedUntil && { latchedUntil: this.read(latchedUntil, `light ${id} latched-until`) }),
      ...(cancelledBy && { cancelledBy: this.read(cancelledBy, `light ${id} cancelled-by`) }),
    };
  }

  read(condition: Condition, owner: string): Condition {
    return mapReadings(condition, owner, (atom, key) => this.stuckTruth(this.reading(atom), this.faultsAt(key)));
  }

  private reading(atom: Condition): Condition {
    if (atom.kind === "named") return { ...atom, condition: asWired(atom.condition) };
    if (atom.kind === "light") return this.hasLogic(atom.light) ? { ...atom, light: asWired(atom.light) } : atom;
    if (atom.kind !== "is" || atom.of !== "control") return atom;
    const faults = this.faultsAt(`control ${atom.thing}`);
    const holds = (fault: Fault) => atom.values.includes(fault.stuck) !== atom.negated;
    const ids = (some: readonly Fault[]) => some.map(({ id }) => id);
    return this.stuckAs(atom, ids(faults.filter(holds)), ids(faults.filter((fault) => !holds(fault))));
  }

  private hasLogic(light: string): boolean {
    const { litWhen, flashingWhen } = this.system.lights.get(light)!;
    return litWhen !== undefined || flashingWhen !== undefined;
  }

  private faultsAt(place: string): readonly Fault[] {
    return this.byPlace.get(place) ?? [];
  }

  private stuckTruth(condition: Condition, faults: readonly Fault[]): Condition {
    const ids = (truth: string) => faults.filter(({ stuck }) => stuck === truth).map(({ id }) => id);
    return this.stuckAs(condition, ids("true"), ids("false"));
  }

  private stuckAs(condition: Condition, whenTrue: readonly string[], whenFalse: readonly string[]): Condition {
    const { span } = this;
    const isOne = (values: readonly string[]): Condition => ({
      kind: "is",
      of: "outside",
      thing: FAULT,
      values,
      negated: false,
      span,
    });
    const low: Condition =
      whenFalse.length === 0
        ? condition
        : { kind: "and", of: [condition, { kind: "not", of: isOne(whenFalse), span }], span };
    return whenTrue.length === 0 ? low : { kind: "or", of: [low, isOne(whenTrue)], span };
  }
}

function placeOf({ kind, thing }: Fault): string {
  return `${kind} ${thing}`;
}
