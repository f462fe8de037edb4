import { and, type Expression, FALSE, not, or, variablesOf } from "../../machine/expression.js";
import { buildModel, type Model } from "../../machine/model.js";
import { orderOf } from "../../machine/slice.js";
import { EMPTY, NodeLimit } from "../../machine/symbolic/bdd.js";
import { OutOfTime } from "../../machine/symbolic/search.js";
import { Space } from "../../machine/symbolic/space.js";
import type { Fault } from "../../program/coverage.js";
import type { Procedure } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";
import type { System, Tail } from "../../program/system.js";
import type { Limits } from "../context.js";
import { FAULT, unharmed, withFaults } from "./inject.js";
import { withLights } from "./looks.js";

/** Answers that were found already, for each system and tail: they depend on no procedure. */
const answered = new WeakMap<System, Map<string, boolean>>();

const BATCH = 64;

/** Of the faults asked about, the ids of those with which no light and no change reads otherwise in any state. */
export function apartFaults(
  program: Program,
  system: System,
  tail: Tail,
  faults: readonly Fault[],
  limits: Limits,
): ReadonlySet<string> {
  const known = answered.get(system) ?? new Map<string, boolean>();
  answered.set(system, known);
  const keyOf = ({ id }: Fault) => JSON.stringify([tail.name, id]);
  const asked = faults.filter((fault) => !known.has(keyOf(fault)));
  for (let at = 0; at < asked.length; at += BATCH) {
    const batch = asked.slice(at, at + BATCH);
    const apart = askedApart(program, system, tail, batch, limits);
    if (apart) for (const fault of batch) known.set(keyOf(fault), apart.has(fault));
  }
  return new Set(faults.filter((fault) => known.get(keyOf(fault))).map(({ id }) => id));
}

/** Undefined where a limit came first: then nothing is said to stand apart. */
function askedApart(
  program: Program,
  system: System,
  tail: Tail,
  faults: readonly Fault[],
  limits: Limits,
): ReadonlySet<Fault> | undefined {
  const wired = withFaults(program, nothingToDo(system), faults);
  const model = buildModel(wired.program, wired.system, wired.procedure, tail);
  const { world } = model;
  const fault = world.outside(FAULT)!;
  const effects = effectsOf(model, system);
  const possible = world.gauges.possible();
  const wanted = new Set([fault, ...[...effects, ...possible].flatMap((one) => [...variablesOf(one)])]);
  const order = [fault, ...orderOf(new Map(), effects, wanted).filter((one) => one !== fault)];
  const apart = new Set(faults.keys());
  try {
    const space = new Space(order, { choices: [], settled: FALSE }, limits.nodes);
    const real = possible.reduce((set, part) => space.bdd.and(set, space.set(part)), space.set(not(FALSE)));
    for (const effect of effects) {
      if (limits.deadline?.()) throw new OutOfTime();
      const states = space.bdd.and(real, space.set(effect));
      if (states === EMPTY) continue;
      for (const index of apart) if (space.restrict(states, fault, index + 1) !== EMPTY) apart.delete(index);
      if (apart.size === 0) break;
    }
  } catch (error) {
    if (error instanceof NodeLimit || error instanceof OutOfTime) return undefined;
    throw error;
  }
  return new Set([...apart].map((index) => faults[index]!));
}

/** A procedure of the system that does nothing: what is asked is asked of states alone. */
function nothingToDo({ id, span }: System): Procedure {
  return {
    id: "nothing to do",
    system: id,
    title: "",
    category: "",
    readAs: [],
    crew: new Map(),
    omits: [],
    begins: [],
    ends: [],
    covers: [],
    steps: [],
    allows: [],
    span,
  };
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
