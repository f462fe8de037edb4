import { type Finding, finding } from "../../diagnostics/finding.js";
import { type Expression, TRUE, type Variable, variablesOf } from "../../machine/expression.js";
import type { Probe } from "../../machine/graph/graph.js";
import type { Model } from "../../machine/model.js";
import { EMPTY, type Ref } from "../../machine/symbolic/bdd.js";
import type { Search } from "../../machine/symbolic/search.js";
import { Space } from "../../machine/symbolic/space.js";
import { conditionKey } from "../../machine/world/world.js";
import type { Context } from "../context.js";
import { hiddenIn, isHidden, shownTruths, tellingOfLooks } from "../hidden.js";
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

function hasHiddenLooks(model: Model): boolean {
  return model.graph.probes.some((probe) => probe.kind === "look" && hiddenIn(model, probe.truth).length > 0);
}

/** What the crew sees as well, and nothing in the procedure touches: it stands as the last crew left it. */
function besideWhole(context: Context): ReadonlySet<Variable> {
  const named = tellingOfLooks(context.model).flatMap((truth) => [...variablesOf(truth)]);
  return new Set(named.filter((variable) => !context.whole.has(variable)));
}

function sights(context: Context, beside: ReadonlySet<Variable> = NOTHING): readonly Sight[] {
  const { world } = context.model;
  const isThere = (variable: Variable) => context.whole.has(variable) || beside.has(variable);
  return shownTruths(context.model)
    .filter(({ truth }) => [...variablesOf(truth)].every(isThere))
    .map(({ thing, name, truth }) => ({
      thing,
      truth,
      near: variablesOf(truth),
      variable: world.variable(`sight of ${thing} ${name}`, 2, { kind: "before" }),
    }));
}

const NOTHING: ReadonlySet<Variable> = new Set();

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
  if (!meet(context, space, space.forget(yes, others), space.forget(no, others), telling)) return false;
  return meet(context, space, yes, no, all) && looksAlikeBeside(context, space, yes, no, look);
}

/** The same with what nothing in the procedure touches taken in, where there is such: a light may hang on its test button too. */
function looksAlikeBeside(context: Context, space: Space, yes: Ref, no: Ref, look: Look): boolean {
  const beside = besideWhole(context);
  if (beside.size === 0) return true;
  const all = sights(context, beside).filter((sight) => !look.but.includes(sight.thing));
  const variables = new Set([...space.variables, ...beside, ...all.map(({ variable }) => variable)]);
  const wider = new Space([...variables], { choices: [], settled: TRUE }, context.limits.nodes);
  const left = context.model.start.filter((part) => {
    const named = [...variablesOf(part)];
    return named.some((variable) => beside.has(variable)) && named.every((variable) => wider.has(variable));
  });
  const possible = (set: Ref) =>
    left.reduce((rest, part) => wider.bdd.and(rest, wider.set(part)), wider.taken(set, space));
  return meet(context, wider, possible(yes), possible(no), all, beside);
}

/** Do some states of the two sets show the same? To see less, or to know less, only makes more of them alike. */
function meet(
  context: Context,
  space: Space,
  yes: Ref,
  no: Ref,
  seen: readonly Sight[],
  beside: ReadonlySet<Variable> = NOTHING,
): boolean {
  const hidden = space.variables.filter(
    (variable) => (context.whole.has(variable) || beside.has(variable)) && isHidden(context.model, variable),
  );
  const appearance = (set: Ref) => {
    const shown = seen.reduce(
      (rest, sight) => space.forward(rest, [{ kind: "remember", variable: sight.variable, truth: sight.truth }]),
      set,
    );
    return space.forget(shown, hidden);
  };
  return space.bdd.meets(appearance(yes), appearance(no));
}
