import { type Expression, type Variable, variablesOf } from "../machine/expression.js";
import type { Model } from "../machine/model.js";

/** What the crew can see of a light or of a shown condition. */
export interface ShownTruth {
  readonly thing: string;
  /** "lit", "flashing", or "so". */
  readonly name: string;
  readonly truth: Expression;
}

/** Everything that shows itself and tells of something that does not. The answer is kept: a model is never changed. */
export function shownTruths(model: Model): readonly ShownTruth[] {
  const known = shown.get(model);
  if (known) return known;
  const made = allShown(model);
  shown.set(model, made);
  return made;
}

const shown = new WeakMap<Model, readonly ShownTruth[]>();

function allShown(model: Model): readonly ShownTruth[] {
  const { world } = model;
  const { system } = world;
  const lights = [...system.lights.values()].filter(
    (light) => world.isFitted(light.id) && (light.litWhen || light.flashingWhen),
  );
  const truths = [
    ...lights.flatMap((light) => [
      { thing: light.id, name: "lit", truth: world.lowerLight(light.id, "lit") },
      ...(light.flashingWhen
        ? [{ thing: light.id, name: "flashing", truth: world.lowerLight(light.id, "flashing") }]
        : []),
    ]),
    ...[...system.conditions.values()]
      .filter((condition) => condition.shown !== undefined && world.isFitted(condition.id))
      .map((condition) => ({ thing: condition.id, name: "so", truth: world.lowerNamed(condition.id) })),
  ];
  return truths.filter(({ truth }) => hiddenIn(model, truth).length > 0);
}

/** What shows itself and tells of something hidden that the crew decides by somewhere: a look takes it in. */
export function tellingOfLooks(model: Model): readonly Expression[] {
  const hidden = new Set(
    model.graph.probes.flatMap((probe) => (probe.kind === "look" ? hiddenIn(model, probe.truth) : [])),
  );
  if (hidden.size === 0) return [];
  return shownTruths(model).flatMap(({ truth }) =>
    [...variablesOf(truth)].some((variable) => hidden.has(variable)) ? [truth] : [],
  );
}

/** Variables of a truth that the crew cannot see themselves. */
export function hiddenIn(model: Model, truth: Expression): readonly Variable[] {
  return [...variablesOf(truth)].filter((variable) => isHidden(model, variable));
}

export function isHidden({ world }: Model, variable: Variable): boolean {
  const { system } = world;
  switch (variable.role.kind) {
    case "equipment":
      return system.equipment.get(variable.role.thing)?.shown === undefined;
    case "outside":
      return system.outside.get(variable.role.thing)?.shown === undefined;
    case "memory":
      return !/^(done|recorded|known|rounds of) /.test(variable.name);
    case "before":
      return true;
    default:
      return false;
  }
}
