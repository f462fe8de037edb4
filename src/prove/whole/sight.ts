import { type Finding, finding } from "../../diagnostics/finding.js";
import { type Expression, type Variable, variablesOf } from "../../machine/expression.js";
import type { Probe } from "../../machine/graph/graph.js";
import type { Model } from "../../machine/model.js";
import { EMPTY, type Ref } from "../../machine/symbolic/bdd.js";
import type { Search } from "../../machine/symbolic/search.js";
import { conditionKey } from "../../machine/world/world.js";
import type { Context } from "../context.js";
import { CANNOT_SEE } from "../kinds.js";
import { quote, textOf } from "../words.js";

type Look = Extract<Probe, { readonly kind: "look" }>;

/** A truth that the crew can see, kept in a variable of its own while two states are compared. */
interface Sight {
  readonly variable: Variable;
  readonly near: ReadonlySet<Variable>;
  readonly thing: string;
  readonly truth: Expression;
}

/** The variables that comparing needs: one for each light, or shown condition, that tells of something hidden. */
export function sightVariables(context: Context): readonly Sight[] {
  return hasHiddenLooks(context.model) ? sights(context) : [];
}

/** Does the crew decide anywhere by what does not show itself? */
function hasHiddenLooks(model: Model): boolean {
  return model.graph.probes.some((probe) => probe.kind === "look" && hiddenIn(model, probe.truth).length > 0);
}

function sights(context: Context): readonly Sight[] {
  const { world } = context.model;
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
  return truths
    .filter(
      ({ truth }) =>
        hiddenIn(context.model, truth).length > 0 &&
        [...variablesOf(truth)].every((variable) => context.whole.has(variable)),
    )
    .map(({ thing, name, truth }) => ({
      thing,
      truth,
      near: variablesOf(truth),
      variable: world.variable(`sight of ${thing} ${name}`, 2, { kind: "before" }),
    }));
}

/** Variables of a truth that the crew cannot see themselves. */
function hiddenIn(model: Model, truth: Expression): readonly Variable[] {
  return [...variablesOf(truth)].filter((variable) => isHidden(model, variable));
}

function isHidden({ world }: Model, variable: Variable): boolean {
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

/** Does every condition that the crew decides by show itself? One finding for each condition. */
export function proveSight(context: Context, search: Search): readonly Finding[] {
  const seen = new Set<string>();
  const visible = sights(context);
  return context.model.graph.probes.flatMap((probe) => {
    if (probe.kind !== "look" || !probe.step || hiddenIn(context.model, probe.truth).length === 0) return [];
    const key = conditionKey(probe.condition);
    if (seen.has(key) || !looksAlike(context, search, probe, visible)) return [];
    seen.add(key);
    const message = `the crew cannot see whether ${quote(probe.condition)}`;
    return [
      finding(CANNOT_SEE, probe.condition.span, message, {
        remark: "two states that can be met here look alike and differ in it",
        help: ["say how it is seen (`shown:`), give it a light, or decide by something that shows"],
        subject: { procedure: context.procedure.id, step: probe.step.name, thing: textOf(probe.condition) },
      }),
    ];
  });
}

function looksAlike(context: Context, search: Search, look: Look, visible: readonly Sight[]): boolean {
  const { space } = search;
  const { bdd } = space;
  const states = look.nodes.reduce((sum, node) => bdd.or(sum, search.reachedAt(node.id)), EMPTY);
  const truth = space.set(look.truth);
  const [yes, no] = [bdd.and(states, truth), bdd.diff(states, truth)];
  if (yes === EMPTY || no === EMPTY) return false;
  const all = visible.filter((sight) => !look.but.includes(sight.thing));
  const telling = all.filter((sight) =>
    hiddenIn(context.model, look.truth).some((variable) => sight.near.has(variable)),
  );
  const about = new Set([...variablesOf(look.truth), ...telling.flatMap((sight) => [...sight.near])]);
  const others = space.variables.filter((variable) => context.whole.has(variable) && !about.has(variable));
  if (!meet(context, search, space.forget(yes, others), space.forget(no, others), telling)) return false;
  return meet(context, search, yes, no, all);
}

/** Do some states of the two sets show the same? To see less, or to know less, only makes more of them alike. */
function meet(context: Context, search: Search, yes: Ref, no: Ref, sights: readonly Sight[]): boolean {
  const { space } = search;
  const hidden = space.variables.filter((variable) => context.whole.has(variable) && isHidden(context.model, variable));
  const appearance = (set: Ref) => {
    const seen = sights.reduce(
      (rest, sight) => space.forward(rest, [{ kind: "remember", variable: sight.variable, truth: sight.truth }]),
      set,
    );
    return space.forget(seen, hidden);
  };
  return space.bdd.and(appearance(yes), appearance(no)) !== EMPTY;
}
